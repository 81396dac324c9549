using System.Buffers;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Photometry;

/// <summary>How much more light the first frame of a pair recorded than the second, where both show the same.</summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="LogRatio">ln(light in A / light in B) for R, G, B.</param>
/// <param name="Weight">Inverse variance of each ratio; 0 where nothing could be compared.</param>
/// <param name="Patches">Mean light of patches that both show unclipped in all channels.</param>
internal readonly record struct LightRatio(int A, int B, double[] LogRatio, double[] Weight, IReadOnlyList<PatchLight> Patches);

/// <summary>Mean linear light (R, G, B) of one patch in two frames, and where it lies in each, px from the centre of the upright frame.</summary>
internal readonly record struct PatchLight(double[] InA, double[] InB, double Ax, double Ay, double Bx, double By);

/// <summary>Compares the light of neighbouring frames on small patches of what they share.</summary>
internal static class SharedLight
{
    private const int LargestPatch = 64;
    private const int MostPatches = 60;

    /// <summary>Patches across even the narrowest strip: shading shows only in how the difference changes across it.</summary>
    private const int LeastAcross = 4;

    /// <summary>Codes outside this range are clipped, or too dark to divide by.</summary>
    private const ushort Darkest = 400, Brightest = 64_000;

    /// <summary>Differences smaller than this, in ln of light, are not told apart: a fifth of a per cent.</summary>
    private const double Floor = 0.002;

    /// <summary>Compares one pair.</summary>
    public static LightRatio Measure(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, FrameLight light)
    {
        var logs = new List<double>[] { [], [], [] };
        var patches = new List<PatchLight>();
        Frame fa = frames[area.A].Frame, fb = frames[area.B].Frame;
        int side = (int)Math.Min(LargestPatch, Math.Min(area.Width, area.Height) / LeastAcross);
        (int columns, int rows) = side < 4 ? (0, 0) : Grid(area, side);
        for (int i = 0; i < columns * rows; i++)
        {
            double x = area.Left + area.Width * (i % columns + 0.5) / columns, y = area.Top + area.Height * (i / columns + 0.5) / rows;
            (double cx, double cy) = placements[area.A].ToCanvas(x, y);
            (double bx, double by) = placements[area.B].ToFrame(cx, cy);
            ComparePatch(fa, First(x + fa.CentreX, side), First(y + fa.CentreY, side), fb, First(bx + fb.CentreX, side), First(by + fb.CentreY, side), side, light, logs, patches);
        }
        var ratio = new double[Frame.Bands];
        var weight = new double[Frame.Bands];
        for (int band = 0; band < Frame.Bands; band++)
            (ratio[band], weight[band]) = Robust(logs[band]);
        return new(area.A, area.B, ratio, weight, patches);
    }

    // As many patches as the area has room for, thinned out along its longer side.
    private static (int Columns, int Rows) Grid(SharedArea area, int side)
    {
        int columns = (int)(area.Width / side), rows = (int)(area.Height / side);
        return area.Width >= area.Height
            ? (Math.Min(columns, Math.Max(LeastAcross, MostPatches / Math.Min(rows, MostPatches / LeastAcross))), Math.Min(rows, MostPatches / LeastAcross))
            : (Math.Min(columns, MostPatches / LeastAcross), Math.Min(rows, Math.Max(LeastAcross, MostPatches / Math.Min(columns, MostPatches / LeastAcross))));
    }

    private static int First(double middle, int side) => (int)Math.Round(middle - (side - 1) / 2.0);

    private static void ComparePatch(Frame fa, int ax, int ay, Frame fb, int bx, int by, int side, FrameLight light, List<double>[] logs, List<PatchLight> patches)
    {
        if (ax < 0 || ay < 0 || bx < 0 || by < 0 || ax + side > fa.Width || ay + side > fa.Height || bx + side > fb.Width || by + side > fb.Height)
            return;
        int count = side * side * Frame.Bands;
        ushort[] a = ArrayPool<ushort>.Shared.Rent(count), b = ArrayPool<ushort>.Shared.Rent(count);
        fa.ReadBlock(ax, ay, side, side, a);
        fb.ReadBlock(bx, by, side, side, b);
        double half = (side - 1) / 2.0;
        var patch = new PatchLight(new double[Frame.Bands], new double[Frame.Bands],
            ax + half - fa.CentreX, ay + half - fa.CentreY, bx + half - fb.CentreX, by + half - fb.CentreY);
        int measured = 0;
        for (int band = 0; band < Frame.Bands; band++)
        {
            double sumA = 0, sumB = 0;
            int used = 0;
            ToneCurve curve = light.Curves[band];
            for (int i = band; i < count; i += Frame.Bands)
            {
                if (a[i] is < Darkest or > Brightest || b[i] is < Darkest or > Brightest)
                    continue;
                sumA += curve.Linear(a[i]);
                sumB += curve.Linear(b[i]);
                used++;
            }
            if (used <= side * side / 4 || sumA <= 0 || sumB <= 0)
                continue;
            logs[band].Add(Math.Log(sumA / sumB));
            (patch.InA[band], patch.InB[band]) = (sumA / used, sumB / used);
            measured++;
        }
        if (measured == Frame.Bands)
            patches.Add(patch);
        ArrayPool<ushort>.Shared.Return(a);
        ArrayPool<ushort>.Shared.Return(b);
    }

    // Mean about the median with Tukey's weights: a walker in one of the frames is left out.
    private static (double Mean, double Weight) Robust(List<double> values)
    {
        if (values.Count == 0)
            return (0, 0);
        double median = values.Median();
        double sigma = Math.Max(1.482602 * values.Select(v => Math.Abs(v - median)).Median(), Floor);
        double sum = 0, weights = 0;
        foreach (double value in values)
        {
            double u = (value - median) / (4.685 * sigma);
            double w = Math.Abs(u) < 1 ? (1 - u * u) * (1 - u * u) : 0;
            sum += w * value;
            weights += w;
        }
        return (sum / weights, weights / (sigma * sigma));
    }
}
