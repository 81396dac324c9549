using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Series;

/// <summary>
/// The frames of one tile, aligned to the first of them and brought to one exposure: the body may have been touched and the light may
/// have changed between them.
/// </summary>
internal sealed class FrameSeries
{
    /// <summary>How far the body may have been moved between two frames of a tile, mm and degrees.</summary>
    private const double MostShiftMm = 0.1, MostTurnDeg = 0.05;

    /// <summary>Moves smaller than this anywhere in the frame are noise of the measurement, and resampling for them would only cost sharpness, px.</summary>
    private const double LeastMove = 0.02;

    /// <summary>A spread of exposures beyond this is meant, stops.</summary>
    private const double BracketStops = 0.5;

    private FrameSeries(IReadOnlyList<Frame> frames, IReadOnlyList<Placement> placements, IReadOnlyList<double[]> gains, SeriesRule rule)
    {
        (Frames, Placements, Gains, Rule) = (frames, placements, gains, rule);
    }

    public IReadOnlyList<Frame> Frames { get; }

    /// <summary>Where each frame lies on the pixels of the first.</summary>
    public IReadOnlyList<Placement> Placements { get; }

    /// <summary>Factors on linear light (R, G, B) that bring each frame to the darkest one's exposure.</summary>
    public IReadOnlyList<double[]> Gains { get; }

    /// <summary>The rule in force; never <see cref="SeriesRule.ByContent"/>.</summary>
    public SeriesRule Rule { get; }

    /// <summary>How far the first frame's centre shows moved in another frame, px.</summary>
    public double Shift(int frame)
    {
        Placement first = Placements[0], own = Placements[frame];
        return Math.Sqrt(Math.Pow(own.X - first.X, 2) + Math.Pow(own.Y - first.Y, 2));
    }

    /// <summary>How much more light a frame recorded than the darkest of the series, stops of green.</summary>
    public double Stops(int frame) => -Math.Log2(Gains[frame][1]);

    /// <summary>Aligns and compares the frames.</summary>
    /// <param name="frames">Two or more frames of the same size, as stored.</param>
    /// <param name="pxPerMm">Scale on the image plane.</param>
    /// <param name="light">The tone curves.</param>
    /// <param name="rule">How they are to become one.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static FrameSeries Align(IReadOnlyList<Frame> frames, double pxPerMm, FrameLight light, SeriesRule rule, CancellationToken cancellation)
    {
        var still = new Placement(frames[0].CentreX, frames[0].CentreY, 0);
        IReadOnlyList<PlacedFrame> placed = [.. frames.Select((frame, i) => new PlacedFrame(FormattableString.Invariant($"{i + 1}"), frame, still))];
        double radius = Math.Sqrt(still.X * still.X + still.Y * still.Y);
        var window = new SearchWindow(Math.Max(MostShiftMm * pxPerMm, 2), MostTurnDeg * (Math.PI / 180), radius);
        IReadOnlyList<GrayPyramid> pyramids = [.. frames.Select(frame => GrayPyramid.Of(frame, Registrar.CoarsestLevel(window), cancellation))];
        IReadOnlyList<Placement> found = Registrar.Register(placed, pyramids, window, workers: 1, new Unheard(), cancellation).Solution.Placements;
        IReadOnlyList<Placement> relative = [.. found.Select(own => Moved(found[0], own, still, radius))];
        IReadOnlyList<double[]> gains = Compare(placed, relative, light);
        return new(frames, relative, gains, rule == SeriesRule.ByContent ? RuleFor(gains) : rule);
    }

    // A frame's placement on the pixels of the first.
    private static Placement Moved(Placement first, Placement own, Placement still, double radius)
    {
        (double x, double y) = first.ToFrame(own.X, own.Y);
        double angle = own.Angle - first.Angle;
        return Math.Sqrt(x * x + y * y) + Math.Abs(angle) * radius < LeastMove ? still : new(still.X + x, still.Y + y, angle);
    }

    private static IReadOnlyList<double[]> Compare(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, FrameLight light)
    {
        PairLight[] pairs = [.. SharedArea.Find(frames, placements, FineSearch.LeastSide).Select(area => SharedLight.Measure(area, frames, placements, light))];
        var stances = new FrameStances([.. frames.Select(_ => Turn.None)], radius: 1);
        var gainsOnly = new LightModel(Gains: true, Shading: false, Glare: false);
        double[][] bands = [.. Enumerable.Range(0, Frame.Bands).Select(band => Array.ConvertAll(
            LightSolver.Solve(frames.Count, PatchRow.Of(stances, pairs, band), gainsOnly, linearSeen: false).LogGains, Math.Exp))];
        // The darkest frame keeps its light, so that nothing is pushed over white.
        int darkest = Array.IndexOf(bands[1], bands[1].Max());
        return [.. Enumerable.Range(0, frames.Count).Select(i => bands.Select(gain => gain[i] / gain[darkest]).ToArray())];
    }

    private static SeriesRule RuleFor(IReadOnlyList<double[]> gains)
    {
        double stops = -Math.Log2(gains.Min(gain => gain[1]));
        return stops > BracketStops ? SeriesRule.Brackets : gains.Count > 2 ? SeriesRule.Median : SeriesRule.Mean;
    }

    private sealed class Unheard : IProgress<double>
    {
        public void Report(double value)
        {
        }
    }
}
