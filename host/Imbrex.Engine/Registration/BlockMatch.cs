using System.Buffers;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Measures the shift of one block between two frames by inverse-compositional Gauss-Newton (Baker and Matthews, IJCV 56(3) 2004),
/// gain, offset and ramp of the light free (<see cref="BlockTemplate"/>), the small rotation taken from the placements.
/// </summary>
internal static class BlockMatch
{
    private const int MostIterations = 12;
    private const double Converged = 1e-3;
    private const double LeastCorrelation = 0.5;

    /// <summary>Pixels that the second frame must show around the block: the search, the kernel and the smoothing.</summary>
    public static int Reach(int radius) => radius + Kernel.Margin + 3;

    /// <summary>A measured shift.</summary>
    /// <param name="Dx">How much further right than believed the first frame's spot lies in the second, px along the first frame's rows.</param>
    /// <param name="Dy">Likewise down.</param>
    /// <param name="Information">Inverse covariance on the canvas.</param>
    internal readonly record struct Match(double Dx, double Dy, Information Information);

    /// <summary>Measures a block, or gives null where it has no detail, leaves the other frame or does not match.</summary>
    /// <param name="a">The first frame.</param>
    /// <param name="block">A block of it.</param>
    /// <param name="placeA">Where the first frame is believed to lie.</param>
    /// <param name="b">The second frame.</param>
    /// <param name="placeB">Where the second frame is believed to lie.</param>
    /// <param name="radius">How far the belief may be wrong, px.</param>
    public static Match? Measure(Frame a, Block block, Placement placeA, Frame b, Placement placeB, int radius)
    {
        (int w, int h) = (block.Width, block.Height);
        if (ReadSmooth(a, block.X, block.Y, w, h) is not { } template)
            return null;

        // Source pixel of B under the block's first pixel, and B's window that holds the block however far it moves.
        double angle = placeA.Angle - placeB.Angle;
        (double cx, double cy) = placeA.ToCanvas(block.X - a.CentreX, block.Y - a.CentreY);
        (double bx, double by) = placeB.ToFrame(cx, cy);
        (bx, by) = (bx + b.CentreX, by + b.CentreY);
        (double sin, double cos) = Math.SinCos(angle);
        double acrossX = (w - 1) * cos, acrossY = (w - 1) * sin, downX = -(h - 1) * sin, downY = (h - 1) * cos;
        int margin = radius + Kernel.Margin + 1;
        int left = (int)Math.Floor(bx + Math.Min(0, acrossX) + Math.Min(0, downX)) - margin, top = (int)Math.Floor(by + Math.Min(0, acrossY) + Math.Min(0, downY)) - margin;
        int right = (int)Math.Ceiling(bx + Math.Max(0, acrossX) + Math.Max(0, downX)) + margin, bottom = (int)Math.Ceiling(by + Math.Max(0, acrossY) + Math.Max(0, downY)) + margin;
        if (ReadSmooth(b, left, top, right - left + 1, bottom - top + 1) is not { } window)
            return null;

        CrossCorrelation.Peak start = CrossCorrelation.Search(template, 0, 0, w, h, window, (int)Math.Round(bx) - left, (int)Math.Round(by) - top, radius);
        if (start.Coefficient < LeastCorrelation / 2)
            return null;
        // The search was by whole pixels about the rounded place.
        double dx = start.Dx + Math.Round(bx) - bx, dy = start.Dy + Math.Round(by) - by;

        var model = new BlockTemplate(template);
        if (!model.IsSolvable)
            return null;
        var source = new Planar(window.Pixels, window.Width, window.Height, 1);
        float[] warpedPixels = ArrayPool<float>.Shared.Rent(w * h);
        try
        {
            var warped = new Planar(warpedPixels, w, h, 1);
            for (int iteration = 0; iteration < MostIterations; iteration++)
            {
                if (Math.Max(Math.Abs(dx), Math.Abs(dy)) > radius + 0.5)
                    return null;
                var map = new RigidMap(bx - left + cos * dx - sin * dy, by - top + sin * dx + cos * dy, angle);
                Resampler.Resample(source, warped, map);
                BlockFit fit = model.Compare(warpedPixels.AsSpan(0, w * h));
                if (fit.Gain is not (> 0.1 and < 10))
                    return null;
                (dx, dy) = (dx - fit.StepX, dy - fit.StepY);
                if (Math.Abs(fit.StepX) < Converged && Math.Abs(fit.StepY) < Converged)
                    return fit.Correlation < LeastCorrelation ? null : new(dx, dy, model.Information(fit, placeA.Angle));
            }
        }
        finally
        {
            ArrayPool<float>.Shared.Return(warpedPixels);
        }
        return null;
    }

    // Grey, lightly smoothed by [1 2 1]/4 both ways: interpolation and gradients are then exact enough, at little loss of detail.
    private static GrayImage? ReadSmooth(Frame frame, int x, int y, int width, int height)
    {
        if (x < 1 || y < 1 || x + width > frame.Width - 1 || y + height > frame.Height - 1)
            return null;
        int w = width + 2, h = height + 2;
        ushort[] rgb = ArrayPool<ushort>.Shared.Rent(w * h * Frame.Bands);
        float[] grey = ArrayPool<float>.Shared.Rent(w * h);
        try
        {
            frame.ReadBlock(x - 1, y - 1, w, h, rgb);
            for (int i = 0, s = 0; i < w * h; i++, s += Frame.Bands)
                grey[i] = (rgb[s] + 2 * rgb[s + 1] + rgb[s + 2]) * 0.25f;
            var smooth = new GrayImage(width, height);
            for (int row = 0; row < height; row++)
            {
                for (int column = 0; column < width; column++)
                {
                    int i = row * w + column;
                    float upper = grey[i] + 2 * grey[i + 1] + grey[i + 2];
                    float middle = grey[i + w] + 2 * grey[i + w + 1] + grey[i + w + 2];
                    float lower = grey[i + 2 * w] + 2 * grey[i + 2 * w + 1] + grey[i + 2 * w + 2];
                    smooth.Pixels[row * width + column] = (upper + 2 * middle + lower) * (1f / 16);
                }
            }
            return smooth;
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(rgb);
            ArrayPool<float>.Shared.Return(grey);
        }
    }
}
