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

    /// <summary>Names the frames that nothing ties to the others.</summary>
    public void AddFindings(List<FindingPart> findings)
    {
        bool[] tied = new bool[_frames.Count];
        for (int i = 0; i < _result.Ties.Count; i++)
        {
            if (_result.Solution.Weights[i] >= LeastWeight)
                tied[_result.Ties[i].A] = tied[_result.Ties[i].B] = true;
        }
        for (int i = 0; i < tied.Length && tied.Length > 1; i++)
        {
            if (tied[i])
                continue;
            findings.Add(new()
            {
                Kind = "untied",
                Tile = _frames[i].Id,
                Text = $"Nothing in the picture ties tile {_frames[i].Id} to its neighbours; it stays where the plan puts it.",
            });
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
