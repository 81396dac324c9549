using Imbrex.Engine.Intake;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Measures the shift of one block between two frames by inverse-compositional Gauss-Newton (Baker and Matthews, IJCV 56(3) 2004), with gain,
/// offset and their ramps free (<see cref="BlockModel"/>), the rotation taken from the placements.
/// </summary>
internal static class BlockMatch
{
    private const int MostIterations = 12, LastReweighting = 6;
    private const double Converged = 1e-3;
    private const double LeastCorrelation = 0.5, LeastUsed = 0.25;

    /// <summary>How far the iteration may leave its start, px.</summary>
    private const double Stray = 1;

    /// <summary>Pixels of the first frame that must lie around a block.</summary>
    public const int Rim = BlockModel.Rim + GreyReader.Reach;

    /// <summary>
    /// Smoothed noise is alike in neighbouring pixels: a sum over detail scatters by this many times as much, in variance, as of independent pixels of the same
    /// strength. 1 / (sum of the squared weights)^2 for detail that the smoothing leaves whole, times what it takes off the finest.
    /// </summary>
    public const double SmoothingKinship = 0.85 / (GreyReader.NoiseLeft * GreyReader.NoiseLeft);

    /// <summary>Pixels that the second frame must show around the block: the search, the kernel and the smoothing.</summary>
    public static int Reach(int radius) => radius + (int)Math.Ceiling(Stray) + Kernel.Margin + 1 + GreyReader.Reach;

    /// <summary>A measured shift.</summary>
    /// <param name="Dx">How much further right than believed the first frame's spot lies in the second, px along the first frame's rows.</param>
    /// <param name="Dy">Likewise down.</param>
    /// <param name="Information">Inverse covariance on the canvas.</param>
    internal readonly record struct Match(double Dx, double Dy, Information Information);

    /// <summary>Measures a block, or gives null where it has no detail, leaves the other frame or does not match.</summary>
    /// <param name="a">The first frame.</param>
    /// <param name="block">A block of it, a multiple of 8 px wide.</param>
    /// <param name="placeA">Where the first frame is believed to lie.</param>
    /// <param name="b">The second frame.</param>
    /// <param name="placeB">Where the second frame is believed to lie.</param>
    /// <param name="radius">How far the belief may be wrong, px; with 0 nothing is searched.</param>
    /// <param name="bench">The calling thread's memory.</param>
    public static Match? Measure(Frame a, Block block, Placement placeA, Frame b, Placement placeB, int radius, MatchBench bench)
    {
        (int w, int h) = (block.Width, block.Height);
        if (GreyReader.Read(a, block.X - BlockModel.Rim, block.Y - BlockModel.Rim, w + 2 * BlockModel.Rim, h + 2 * BlockModel.Rim, ref bench.Template) is not { } template)
            return null;
        RigidMap believed = Map(a, block, placeA, b, placeB);
        (double sin, double cos) = Math.SinCos(believed.Angle);

        // B's window holds the block however far it moves.
        double acrossX = (w - 1) * cos, acrossY = (w - 1) * sin, downX = -(h - 1) * sin, downY = (h - 1) * cos;
        int margin = Reach(radius) - GreyReader.Reach;
        int left = (int)Math.Floor(believed.X + Math.Min(0, acrossX) + Math.Min(0, downX)) - margin, top = (int)Math.Floor(believed.Y + Math.Min(0, acrossY) + Math.Min(0, downY)) - margin;
        int right = (int)Math.Ceiling(believed.X + Math.Max(0, acrossX) + Math.Max(0, downX)) + margin, bottom = (int)Math.Ceiling(believed.Y + Math.Max(0, acrossY) + Math.Max(0, downY)) + margin;
        if (GreyReader.Read(b, left, top, right - left + 1, bottom - top + 1, ref bench.Window) is not { } window)
            return null;

        var source = new Planar(window.Pixels, window.Width, window.Height, 1);
        RigidMap MovedBy(double x, double y) => new(believed.X - left + cos * x - sin * y, believed.Y - top + sin * x + cos * y, believed.Angle);
        (double startX, double startY) = (0, 0);
        if (radius > 0)
        {
            // The search is by whole pixels under the rotation that is believed.
            (int wide, int high) = (w + 2 * radius, h + 2 * radius);
            var around = new GrayImage(wide, high, bench.Around(wide * high));
            Resampler.Resample(source, new(around.Pixels, wide, high, 1), MovedBy(-radius, -radius), bench.Passes);
            CrossCorrelation.Peak start = CrossCorrelation.Search(template, BlockModel.Rim, BlockModel.Rim, w, h, around, radius - BlockModel.Rim, radius - BlockModel.Rim, radius);
            if (start.Coefficient < LeastCorrelation / 2)
                return null;
            (startX, startY) = (start.Dx, start.Dy);
        }

        bench.Model.Prepare(template);
        BlockFit fit = bench.Fit;
        fit.Begin();
        var warped = new Planar(bench.Warped(w * h), w, h, 1);
        (double dx, double dy) = (startX, startY);
        for (int iteration = 0; iteration < MostIterations; iteration++)
        {
            if (Math.Max(Math.Abs(dx - startX), Math.Abs(dy - startY)) > Stray)
                return null;
            Resampler.Resample(source, warped, MovedBy(dx, dy), bench.Passes);
            if (!fit.Solve(warped.Pixels) || fit.Gain is not (> 0.1 and < 10))
                return null;
            (dx, dy) = (dx + fit.StepX, dy + fit.StepY);
            if (iteration > 0 && Math.Abs(fit.StepX) < Converged && Math.Abs(fit.StepY) < Converged)
                return fit.Used >= LeastUsed && fit.Correlation >= LeastCorrelation && fit.Information(placeA.Angle) is { } information ? new(dx, dy, information) : null;
            if (iteration < LastReweighting)
                fit.Reweight();
        }
        return null;
    }

    // The second frame's pixel under the block's first, the middles laid over one another, and the rotation there: a bent frame is rigid to within
    // hundredths of a pixel over a block, and its stretch evens out about the middle.
    private static RigidMap Map(Frame a, Block block, Placement placeA, Frame b, Placement placeB)
    {
        const double Step = 16;
        double halfX = (block.Width - 1) / 2.0, halfY = (block.Height - 1) / 2.0;
        (double X, double Y) InB(double x, double y)
        {
            (double cx, double cy) = placeA.ToCanvas(block.X + halfX + x - a.CentreX, block.Y + halfY + y - a.CentreY);
            (double bx, double by) = placeB.ToFrame(cx, cy);
            return (bx + b.CentreX, by + b.CentreY);
        }
        (double mx, double my) = InB(0, 0);
        (double rx, double ry) = InB(Step, 0);
        (double lx, double ly) = InB(-Step, 0);
        (double ux, double uy) = InB(0, -Step);
        (double ox, double oy) = InB(0, Step);
        double angle = Math.Atan2(ry - ly - (ox - ux), rx - lx + oy - uy);
        (double sin, double cos) = Math.SinCos(angle);
        return new(mx - cos * halfX + sin * halfY, my - sin * halfX - cos * halfY, angle);
    }
}
