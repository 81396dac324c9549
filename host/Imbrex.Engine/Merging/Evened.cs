using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;

namespace Imbrex.Engine.Merging;

/// <summary>The gains that even out the frames' light, and what differences remain.</summary>
internal sealed class Evened
{
    private readonly IReadOnlyList<LightRatio> _ratios;

    private readonly FrameLight _light;

    private Evened(IReadOnlyList<IReadOnlyList<double>> gains, IReadOnlyList<LightRatio> ratios, FrameLight light) =>
        (Gains, _ratios, _light) = (gains, ratios, light);

    /// <summary>Factors on linear light of each frame for R, G, B.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Gains { get; }

    public static Evened Solve(int frames, IReadOnlyList<LightRatio> ratios, FrameLight light)
    {
        double[][] bands = [.. Enumerable.Range(0, Frame.Bands).Select(band => GainSolver.Solve(frames, ratios, band))];
        return new([.. Enumerable.Range(0, frames).Select(i => new[] { bands[0][i], bands[1][i], bands[2][i] })], ratios, light);
    }

    /// <summary>Mean CIEDE2000 between the two frames of a pair over the patches that both show, or null where there are none.</summary>
    public double? ColourLeft(int pair)
    {
        LightRatio ratio = _ratios[pair];
        if (ratio.Patches.Count == 0)
            return null;
        return ratio.Patches.Average(patch => ColourDifference.Ciede2000(
            _light.ToLab(Times(patch.InA, Gains[ratio.A])), _light.ToLab(Times(patch.InB, Gains[ratio.B]))));
    }

    private static double[] Times(double[] light, IReadOnlyList<double> gain) => [light[0] * gain[0], light[1] * gain[1], light[2] * gain[2]];

    /// <summary>What is left between the two frames of a pair, in stops for R, G, B, or null where they could not be compared.</summary>
    public IReadOnlyList<double>? RemainingStops(int pair)
    {
        LightRatio ratio = _ratios[pair];
        if (Array.Exists(ratio.Weight, w => w == 0))
            return null;
        return [.. Enumerable.Range(0, Frame.Bands).Select(band =>
            Math.Log2(Gains[ratio.A][band] / Gains[ratio.B][band]) + ratio.LogRatio[band] / Math.Log(2))];
    }
}
