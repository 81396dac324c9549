using System.Buffers;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Photometry;

/// <summary>Compares the light of neighbouring frames on small patches of what they share, each at its exact place in both.</summary>
internal static class SharedLight
{
    private const int LargestPatch = 64, SmallestPatch = 6;
    private const int MostPatches = 96;

    /// <summary>Most patches across the narrower side of what is shared: shading shows in how the difference changes across it.</summary>
    private const int MostAcross = 6;

    /// <summary>Windows lie half over each other; so many fit across even the narrowest strip.</summary>
    private const double NarrowestInPatches = 2.5;

    /// <summary>Codes above this are clipped, or may be.</summary>
    private const ushort Brightest = 64_000;

    /// <summary>Light darker than this cannot be divided by: noise and the black level decide there.</summary>
    private const double Darkest = 0.003;

    /// <summary>At least so much of a patch's weight must be left when clipped pixels are taken out.</summary>
    private const double LeastLeft = 0.5;

    /// <summary>Part of ln of light by which patches differ beyond their noise: what is left of aliasing and of the places' errors.</summary>
    private const double Floor = 0.0007;

    /// <summary>Every how many pixels the noise is looked at.</summary>
    private const int NoiseStep = 3;

    /// <summary>Compares one pair.</summary>
    public static PairLight Measure(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, FrameLight light)
    {
        var patches = new List<PatchLight>();
        Frame fa = frames[area.A].Frame, fb = frames[area.B].Frame;
        int side = (int)Math.Min(LargestPatch, Math.Min(area.Width, area.Height) / NarrowestInPatches);
        if (side < SmallestPatch)
            return new(area.A, area.B, patches);
        (int columns, int rows) = Grid(area, side);
        for (int i = 0; i < columns * rows; i++)
        {
            double x = Spread(area.Left, area.Right, side, i % columns, columns), y = Spread(area.Top, area.Bottom, side, i / columns, rows);
            (double cx, double cy) = placements[area.A].ToCanvas(x, y);
            (double bx, double by) = placements[area.B].ToFrame(cx, cy);
            if (!IsUsable(frames[area.A], x, y, side) || !IsUsable(frames[area.B], bx, by, side))
                continue;
            using PatchWindow? a = PatchWindow.Read(fa, x + fa.CentreX, y + fa.CentreY, side), b = PatchWindow.Read(fb, bx + fb.CentreX, by + fb.CentreY, side);
            if (a is { } inA && b is { } inB && Compare(inA, inB, light, new([0, 0, 0], [0, 0, 0], [0, 0, 0], x, y, bx, by)) is { } patch)
                patches.Add(patch);
        }
        return new(area.A, area.B, patches);
    }

    // Light that openings take from one frame alone would be taken for shading of the sensor, or for a gain.
    private static bool IsUsable(PlacedFrame frame, double x, double y, int side) =>
        frame.Usable?.Holds(x - side / 2.0, y - side / 2.0, x + side / 2.0, y + side / 2.0) is not false;

    private static (int Columns, int Rows) Grid(SharedArea area, int side)
    {
        int columns = Math.Max((int)(2 * area.Width / side) - 1, 1), rows = Math.Max((int)(2 * area.Height / side) - 1, 1);
        int across = Math.Min(Math.Min(columns, rows), MostAcross), along = Math.Min(Math.Max(columns, rows), MostPatches / across);
        return columns <= rows ? (across, along) : (along, across);
    }

    private static double Spread(double from, double to, int side, int index, int count) =>
        count == 1 ? (from + to) / 2 : from + side / 2.0 + (to - from - side) * index / (count - 1);

    private static PatchLight? Compare(PatchWindow a, PatchWindow b, FrameLight light, PatchLight patch)
    {
        bool any = false;
        for (int band = 0; band < Frame.Bands; band++)
        {
            ToneCurve curve = light.Curves[band];
            bool clipped = HasClipped(a, band) || HasClipped(b, band);
            if (Mean(a, b, band, curve, clipped) is not { } inA || Mean(b, a, band, curve, clipped) is not { } inB)
                continue;
            (patch.InA[band], patch.InB[band]) = (inA.Light, inB.Light);
            patch.Sigma[band] = Math.Sqrt(inA.RelativeVariance + inB.RelativeVariance + Floor * Floor);
            any = true;
        }
        return any ? patch : null;
    }

    private static bool HasClipped(PatchWindow window, int band)
    {
        for (int row = 0; row < window.Height; row++)
        {
            for (int column = 0; column < window.Width; column++)
            {
                if (window.Code(column, row, band) > Brightest)
                    return true;
            }
        }
        return false;
    }

    // Weighted mean and the variance of its relative error; null where too little is left of the patch, or it is too dark.
    private static (double Light, double RelativeVariance)? Mean(PatchWindow own, PatchWindow other, int band, ToneCurve curve, bool clipped)
    {
        double sum = 0, weights = 0, squares = 0, all = 0;
        for (int row = 0; row < own.Height; row++)
        {
            for (int column = 0; column < own.Width; column++)
            {
                float w = own.Weight(column, row);
                all += w;
                if (clipped && (NearClipped(own, column, row, band) || NearClipped(other, column, row, band)))
                    continue;
                sum += w * curve.Linear(own.Code(column, row, band));
                weights += w;
                squares += w * w;
            }
        }
        double mean = sum / weights;
        if (weights < LeastLeft * all || mean < Darkest)
            return null;
        double noise = Noise(own, band, curve);
        return (mean, noise * noise * squares / (weights * weights) / (mean * mean));
    }

    // A pixel is taken out in both frames if either has it clipped, with its neighbours, as windows may differ by a part of a pixel.
    private static bool NearClipped(PatchWindow window, int column, int row, int band)
    {
        for (int y = Math.Max(row - 1, 0); y <= Math.Min(row + 1, window.Height - 1); y++)
        {
            for (int x = Math.Max(column - 1, 0); x <= Math.Min(column + 1, window.Width - 1); x++)
            {
                if (window.Code(x, y, band) > Brightest)
                    return true;
            }
        }
        return false;
    }

    // Median of the mixed second difference, which slopes do not touch: for white noise its deviation is twice the noise's. Detail makes it larger,
    // and the patch count less.
    private static double Noise(PatchWindow window, int band, ToneCurve curve)
    {
        float[] buffer = ArrayPool<float>.Shared.Rent((window.Width + NoiseStep) * (window.Height + NoiseStep) / (NoiseStep * NoiseStep) + 1);
        int count = 0;
        for (int row = 0; row + 1 < window.Height; row += NoiseStep)
        {
            for (int column = 0; column + 1 < window.Width; column += NoiseStep)
            {
                buffer[count++] = Math.Abs(curve.Linear(window.Code(column, row, band)) - curve.Linear(window.Code(column + 1, row, band))
                    - curve.Linear(window.Code(column, row + 1, band)) + curve.Linear(window.Code(column + 1, row + 1, band)));
            }
        }
        Span<float> differences = buffer.AsSpan(0, count);
        differences.Sort();
        double noise = 1.482602 * differences[count / 2] / 2;
        ArrayPool<float>.Shared.Return(buffer);
        return noise;
    }
}
