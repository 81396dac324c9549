using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;

namespace Imbrex.Engine.Merging;

/// <summary>The gains that even out the frames' light, and what differences remain.</summary>
internal sealed class Evened
{
    private readonly IReadOnlyList<LightRatio> _ratios;

    private Evened(IReadOnlyList<IReadOnlyList<double>> gains, IReadOnlyList<LightRatio> ratios) => (Gains, _ratios) = (gains, ratios);

    /// <summary>Factors on linear light of each frame for R, G, B.</summary>
    public IReadOnlyList<IReadOnlyList<double>> Gains { get; }

    public static Evened Solve(int frames, IReadOnlyList<LightRatio> ratios)
    {
        double[][] bands = [.. Enumerable.Range(0, Frame.Bands).Select(band => GainSolver.Solve(frames, ratios, band))];
        return new([.. Enumerable.Range(0, frames).Select(i => new[] { bands[0][i], bands[1][i], bands[2][i] })], ratios);
    }

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
