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

    /// <summary>The model in use: the last that the residuals justified.</summary>
    public string Motion => NameOf(_result.Motion.Trials.LastOrDefault(trial => trial.Used)?.Terms ?? MotionTerms.Rigid);

    /// <summary>What was tried beyond shift and rotation.</summary>
    public MotionPart? MotionDetail
    {
        get
        {
            MotionChoice motion = _result.Motion;
            if (motion.Trials.Count == 0)
                return null;
            (double X, double Y, double Larger)? seat = motion.Model.Seat(_result.Solution.Unknowns);
            return new()
            {
                Models =
                [
                    .. motion.Trials.Select(trial => new MotionModelPart
                    {
                        Name = NameOf(trial.Terms),
                        Parameters = trial.Parameters,
                        FStatistic = trial.FStatistic,
                        Probability = trial.Probability,
                        EffectPx = trial.Effect,
                        Used = trial.Used,
                    }),
                ],
                SensorTiltPerMm = motion.Model.SensorTilt(_result.Solution.Unknowns) is { } tilt ? [tilt.X, tilt.Y] : null,
                SeatTiltPerMm = seat is { } s ? [s.X, s.Y] : null,
                SeatScale = 1 + seat?.Larger,
            };
        }
    }

    /// <summary>A frame's size against the others, and what bends it beyond that.</summary>
    public (double Scale, WarpPart? Warp) Shape(int frame)
    {
        Warp w = Placements[frame].Warp;
        double scale = 1 + (w.Xx + w.Yy) / 2;
        return (scale, w == Warp.OfScale(scale) || w.IsNone ? null : new() { E = [w.Xx, w.Xy, w.Yx, w.Yy], G = [w.Gx, w.Gy] });
    }

    /// <summary>Names pairs that contradict the others, groups that nothing joins, and what was found askew.</summary>
    public void AddFindings(List<FindingPart> findings)
    {
        foreach (WrongPair pair in _result.WrongPairs)
        {
            findings.Add(new()
            {
                Kind = "wrong-pair",
                Text = FormattableString.Invariant(
                    $"Tiles {_frames[pair.A].Id} and {_frames[pair.B].Id} match each other {pair.Pixels:0.0} px away from where all other tiles put them: something large moved between the two frames, or a pattern repeats. The match was dropped."),
            });
        }
        IReadOnlyList<IReadOnlyList<int>> groups = [.. Islands.Find(_frames.Count, _result.Ties, _result.Solution.Weights).Where(group => group.Count > 1)];
        if (groups.Count > 1)
        {
            string named = string.Join("; ", groups.Select(group => string.Join(", ", group.Select(i => _frames[i].Id))));
            findings.Add(new()
            {
                Kind = "islands",
                Text = $"Nothing in the picture joins these groups of tiles to one another: {named}. Each keeps the shape that was measured, and lies as a whole where the plan puts its tiles.",
            });
        }
        foreach (MotionTrial trial in _result.Motion.Trials.Where(trial => trial.Used))
        {
            findings.Add(new()
            {
                Kind = "motion",
                Text = FormattableString.Invariant($"{Words(trial.Terms)} It is taken out; it was {trial.Effect:0.00} px in the mean square."),
            });
        }
    }

    private static string NameOf(MotionTerms terms) => terms switch
    {
        MotionTerms.SensorTilt => "sensor-tilt",
        MotionTerms.Seat => "seat",
        MotionTerms.Scale => "scale",
        MotionTerms.Projective => "projective",
        _ => "shift-rotation",
    };

    private static string Words(MotionTerms terms) => terms switch
    {
        MotionTerms.SensorTilt => "The sensor stands askew to the rails, alike in all frames.",
        MotionTerms.Seat => "The back sits askew, or nearer or farther, when it is turned over.",
        MotionTerms.Scale => "The frames differ in size, as if the focus had moved between them.",
        _ => "The frames are bent against one another, each in its own way.",
    };

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
            WrongByPx = _result.WrongPairs.Any(pair => pair.A == area.A && pair.B == area.B)
                ? _result.WrongPairs.First(pair => pair.A == area.A && pair.B == area.B).Pixels : null,
            ExposureStops = evened.RemainingStops(index),
            DeltaE00 = evened.ColourLeft(index),
        };
    }
}
