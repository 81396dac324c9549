using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Sdk.Geometry;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Merging;

/// <summary>The gains that even out the frames' light, and what differences remain.</summary>
internal sealed class Evened
{
    private readonly IReadOnlyList<LightRatio> _ratios;
    private readonly FrameLight _light;
    private readonly IReadOnlyList<Turn> _turns;
    private readonly double _radius;

    private Evened(IReadOnlyList<double[]> bands, IReadOnlyList<LightRatio> ratios, FrameLight light, IReadOnlyList<Turn> turns, double radius, ShadingFit? shading)
    {
        (_ratios, _light, _turns, _radius, Shading) = (ratios, light, turns, radius, shading);
        Gains = [.. Enumerable.Range(0, turns.Count).Select(i => new[] { bands[0][i], bands[1][i], bands[2][i] })];
    }

    /// <summary>The shading fixed to the sensor, where the overlaps ask for it.</summary>
    public ShadingFit? Shading { get; }

    /// <summary>Factors on linear light of each frame for R, G, B.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Gains { get; }

    /// <summary>Solves for gains, and for shading where the overlaps ask for it.</summary>
    /// <param name="turns">The body's turn of each frame.</param>
    /// <param name="radius">Half diagonal of a frame, px.</param>
    /// <param name="ratios">What the pairs share.</param>
    /// <param name="light">How light is encoded.</param>
    public static Evened Solve(IReadOnlyList<Turn> turns, double radius, IReadOnlyList<LightRatio> ratios, FrameLight light)
    {
        if (ShadingSolver.Solve(turns, radius, ratios) is { } shading)
            return new(shading.Gains, ratios, light, turns, radius, shading);
        return new([.. Enumerable.Range(0, Frame.Bands).Select(band => GainSolver.Solve(turns.Count, ratios, band))], ratios, light, turns, radius, null);
    }

    /// <summary>Mean CIEDE2000 between the two frames of a pair over the patches that both show, or null where there are none.</summary>
    public double? ColourLeft(int pair)
    {
        LightRatio ratio = _ratios[pair];
        if (ratio.Patches.Count == 0)
            return null;
        return ratio.Patches.Average(patch => ColourDifference.Ciede2000(
            _light.ToLab(Even(patch.InA, ratio.A, patch.Ax, patch.Ay)), _light.ToLab(Even(patch.InB, ratio.B, patch.Bx, patch.By))));
    }

    /// <summary>What is left between the two frames of a pair, in stops for R, G, B, or null where they could not be compared.</summary>
    public IReadOnlyList<double>? RemainingStops(int pair)
    {
        LightRatio ratio = _ratios[pair];
        if (ratio.Patches.Count == 0)
            return null;
        var logs = ratio.Patches.Select(patch =>
            (A: Even(patch.InA, ratio.A, patch.Ax, patch.Ay), B: Even(patch.InB, ratio.B, patch.Bx, patch.By))).ToList();
        return [.. Enumerable.Range(0, Frame.Bands).Select(band => logs.Select(both => Math.Log2(both.A[band] / both.B[band])).Median())];
    }

    // The light of a patch as it goes into the picture.
    private double[] Even(double[] light, int frame, double dx, double dy)
    {
        (double x, double y) = SensorShading.Place(dx, dy, _turns[frame], _radius);
        return [.. light.Select((value, band) => value * Gains[frame][band] * Math.Exp(-(Shading?.Shading.LogAt(band, x, y) ?? 0)))];
    }

}
