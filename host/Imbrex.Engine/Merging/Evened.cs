using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Merging;

/// <summary>What evens out the frames' light, and what differences remain.</summary>
internal sealed class Evened
{
    private readonly IReadOnlyList<PairLight> _pairs;
    private readonly FrameLight _light;

    private Evened(FrameStances stances, IReadOnlyList<PairLight> pairs, FrameLight light, LightFit fit)
    {
        (_pairs, _light, Fit) = (pairs, light, fit);
        Gains = [.. stances.Turns.Select((_, i) => OfFrame(fit.Gains, i))];
        Glare = fit.Glare is { } glare ? [.. stances.Turns.Select((_, i) => OfFrame(glare, i))] : null;
        Corrections = [.. stances.Turns.Select((turn, i) => stances.Known[i].With(
            Gains[i], fit.Shading is { } shading ? new ShadingField(shading, turn, stances.Radius) : null, Glare?[i]))];
    }

    /// <summary>What was found.</summary>
    public LightFit Fit { get; }

    /// <summary>Factors on linear light of each frame for R, G, B.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Gains { get; }

    /// <summary>Linear light to take off each frame, R, G, B; null where the overlaps do not ask for it.</summary>
    public IReadOnlyList<IReadOnlyList<double>>? Glare { get; }

    /// <summary>All that is done to the light of each frame.</summary>
    public IReadOnlyList<LightCorrection> Corrections { get; }

    /// <summary>Solves for gains, and for shading and glare where the overlaps ask for them.</summary>
    /// <param name="stances">How the frames stood, and what is known of their light.</param>
    /// <param name="pairs">What the pairs share.</param>
    /// <param name="light">How light is encoded.</param>
    /// <param name="search">What may be sought.</param>
    public static Evened Solve(FrameStances stances, IReadOnlyList<PairLight> pairs, FrameLight light, LightSearch search) =>
        new(stances, pairs, light, LightFit.Solve(stances, pairs, search));

    /// <summary>Mean CIEDE2000 between the two frames of a pair over the patches that both show, or null where there are none.</summary>
    public double? ColourLeft(int pair)
    {
        List<(double[] A, double[] B)> patches = WholePatches(pair);
        return patches.Count == 0 ? null : patches.Average(both => ColourDifference.Ciede2000(_light.ToLab(both.A), _light.ToLab(both.B)));
    }

    /// <summary>What is left between the two frames of a pair, in stops for R, G, B, or null where they could not be compared.</summary>
    public IReadOnlyList<double>? RemainingStops(int pair)
    {
        List<(double[] A, double[] B)> patches = WholePatches(pair);
        return patches.Count == 0 ? null
            : [.. Enumerable.Range(0, Frame.Bands).Select(band => patches.Select(both => Math.Log2(both.A[band] / both.B[band])).Median())];
    }

    private static double[] OfFrame(IReadOnlyList<double[]> bands, int frame) => [.. bands.Select(band => band[frame])];

    // The light of patches that were compared in all channels, as it goes into the picture.
    private List<(double[] A, double[] B)> WholePatches(int pair)
    {
        PairLight light = _pairs[pair];
        (LightCorrection a, LightCorrection b) = (Corrections[light.A], Corrections[light.B]);
        return
        [
            .. from patch in light.Patches
               where patch.IsWhole
               let both = (A: Even(a, patch.InA, patch.Ax, patch.Ay), B: Even(b, patch.InB, patch.Bx, patch.By))
               where Array.TrueForAll(both.A, value => value > 0) && Array.TrueForAll(both.B, value => value > 0)
               select both,
        ];
    }

    private static double[] Even(LightCorrection correction, double[] light, double dx, double dy) => [.. light.Select((value, band) => correction.Apply(band, value, dx, dy))];
}
