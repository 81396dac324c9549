using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Registration;
using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Merging;

/// <summary>The frames in their places, and how well they agree there.</summary>
internal sealed class Registered
{
    /// <summary>A tie with less weight than this counts as rejected.</summary>
    private const double LeastWeight = 0.05;

    private readonly IReadOnlyList<PlacedFrame> _frames;
    private readonly RegistrationResult _result;

    public Registered(IReadOnlyList<PlacedFrame> frames, RegistrationResult result, IReadOnlyList<SharedArea> areas) =>
        (_frames, _result, Areas) = (frames, result, areas);

    public IReadOnlyList<Placement> Placements => _result.Solution.Placements;

    /// <summary>The same on a canvas that begins elsewhere.</summary>
    /// <param name="x">Column of this canvas that is the other's first.</param>
    /// <param name="y">Row likewise.</param>
    public Registered SeenFrom(int x, int y)
    {
        IReadOnlyList<Placement> moved = [.. Placements.Select(p => p with { X = p.X - x, Y = p.Y - y })];
        return new(_frames, _result with { Solution = _result.Solution with { Placements = moved } }, Areas);
    }

    /// <summary>What each pair shares at the places found.</summary>
    public IReadOnlyList<SharedArea> Areas { get; }

    /// <summary>
    /// As many pyramid levels as the narrowest shared strip has room for: a level's mask spreads 2^(level+1) px to either side of the seam,
    /// and the seam runs along the strip's middle.
    /// </summary>
    public int BlendLevels
    {
        get
        {
            double narrowest = Areas.Count == 0 ? 0 : Areas.Min(area => Math.Min(area.Width, area.Height));
            return Math.Clamp((int)Math.Log2(Math.Max(narrowest / 4, 1)), 0, CanvasBlender.MostLevels);
        }
    }

    /// <summary>Standard deviations of a frame's centre (px) and angle (degrees), all frames' mean held fixed.</summary>
    public (double Pixels, double Degrees) Sigma(int frame)
    {
        Matrix<double> c = _result.Solution.Covariances[frame];
        return (Math.Sqrt((c[0, 0] + c[1, 1]) / 2), Math.Sqrt(c[2, 2]) * (180 / Math.PI));
    }

    /// <summary>The frames that nothing ties to the others; none where there is only one.</summary>
    public IReadOnlyList<int> Untied
    {
        get
        {
            bool[] tied = new bool[_frames.Count];
            for (int i = 0; i < _result.Ties.Count; i++)
            {
                if (_result.Solution.Weights[i] >= LeastWeight)
                    tied[_result.Ties[i].A] = tied[_result.Ties[i].B] = true;
            }
            return tied.Length > 1 ? [.. Enumerable.Range(0, tied.Length).Where(i => !tied[i])] : [];
        }
    }

    public IReadOnlyList<PairPart> DescribePairs(Evened evened) => [.. Areas.Select((area, i) => DescribePair(area, evened, i))];

    private PairPart DescribePair(SharedArea area, Evened evened, int index)
    {
        int measured = 0, used = 0;
        double sum = 0;
        for (int i = 0; i < _result.Ties.Count; i++)
        {
            Tie tie = _result.Ties[i];
            if (tie.A != area.A || tie.B != area.B)
                continue;
            measured++;
            if (_result.Solution.Weights[i] < LeastWeight)
                continue;
            used++;
            (double x, double y) = tie.Disagreement(Placements);
            sum += x * x + y * y;
        }
        return new()
        {
            A = _frames[area.A].Id,
            B = _frames[area.B].Id,
            Measured = measured,
            Used = used,
            ResidualPx = used > 0 ? Math.Sqrt(sum / used) : null,
            ExposureStops = evened.RemainingStops(index),
            DeltaE00 = evened.ColourLeft(index),
        };
    }
}
