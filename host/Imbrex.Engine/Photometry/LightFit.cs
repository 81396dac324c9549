using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>What may be sought in the overlaps.</summary>
/// <param name="SameExposure">All frames are known to have been exposed alike: every gain is 1.</param>
/// <param name="SeekShading">Whether shading fixed to the sensor may be sought; not where flat fields took it out.</param>
internal readonly record struct LightSearch(bool SameExposure, bool SeekShading);

/// <summary>Gains, shading and glare as the overlaps show them, each only where they plainly ask for it.</summary>
/// <param name="Gains">For each channel the gain of each frame, geometric mean 1.</param>
/// <param name="Shading">The shading, or null.</param>
/// <param name="ShadingF">How much better the shading explains the overlaps than the same model without it, mean F over the channels; null where none was taken.</param>
/// <param name="Glare">For each channel the light to take off each frame, or null.</param>
/// <param name="GlareF">Likewise for the glare.</param>
internal sealed record LightFit(IReadOnlyList<double[]> Gains, SensorShading? Shading, double? ShadingF, IReadOnlyList<double[]>? Glare, double? GlareF)
{
    /// <summary>More unknowns are taken only where they explain the overlaps so much better.</summary>
    private const double LeastF = 12;

    /// <summary>Patches for each unknown, at least.</summary>
    private const int LeastPatches = 4;

    /// <summary>Solves.</summary>
    /// <param name="stances">How the frames stood.</param>
    /// <param name="pairs">What the pairs share.</param>
    /// <param name="search">What may be sought.</param>
    public static LightFit Solve(FrameStances stances, IReadOnlyList<PairLight> pairs, LightSearch search)
    {
        int frames = stances.Turns.Count;
        bool linearSeen = search.SameExposure || stances.AnyTurned;
        IReadOnlyList<PatchRow>[] rows = [.. Enumerable.Range(0, Frame.Bands).Select(band => PatchRow.Of(stances, pairs, band))];
        LightSolution[] Solve(LightModel model) => [.. rows.Select(band => LightSolver.Solve(frames, band, model, linearSeen))];
        double F(LightSolution[] with, LightModel without) => rows.Select((band, k) => Gain(band, with[k], LightSolver.Solve(frames, band, without, linearSeen, with[k].Weights))).Average();
        bool Enough(int more) => rows.All(band => band.Count >= LeastPatches * (frames + more));

        var model = new LightModel(!search.SameExposure, Shading: false, Glare: false);
        LightSolution[] best = Solve(model);
        (double? shadingF, double? glareF) = (null, null);
        if (search.SeekShading && Enough(SensorShading.Terms.Count) && Solve(model with { Shading = true }) is var shaded && F(shaded, model) is var f && f >= LeastF)
            (model, best, shadingF) = (model with { Shading = true }, shaded, f);
        if (Enough(frames + (model.Shading ? SensorShading.Terms.Count : 0)) && Solve(model with { Glare = true }) is var veiled && F(veiled, model) is var g && g >= LeastF)
            (model, best, glareF) = (model with { Glare = true }, veiled, g);
        return new([.. best.Select(band => Array.ConvertAll(band.LogGains, Math.Exp))],
            model.Shading ? new([.. best.Select(band => band.Shading)]) : null, shadingF, model.Glare ? [.. best.Select(band => band.Glare)] : null, glareF);
    }

    // The F statistic of one channel; noise is never taken to be less than the patches' own.
    private static double Gain(IReadOnlyList<PatchRow> rows, LightSolution with, LightSolution without)
    {
        double freedom = Math.Max(with.Weights.Sum() - with.Unknowns, 1), noise = Math.Max(with.SquareSum / freedom, 1);
        return rows.Count == 0 ? 0 : (without.SquareSum - with.SquareSum) / (with.Unknowns - without.Unknowns) / noise;
    }
}
