using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Seams;

/// <summary>How sharp one frame is patch by patch: its fine detail less the noise.</summary>
internal sealed class DetailMap
{
    private const int Levels = 8;

    /// <summary>Detail below this variance is nothing, codes squared.</summary>
    private const float Floor = 400;

    private readonly CellPicture _picture;
    private readonly float[] _noise;

    /// <summary>Estimates a frame's noise.</summary>
    public DetailMap(CellPicture picture) => (_picture, _noise) = (picture, OwnNoise(picture));

    /// <summary>Variance of the noise by brightness, in eight steps; 0 where nothing was measured.</summary>
    public IReadOnlyList<float> Noise => _noise;

    /// <summary>Noise that exceeds that of the quietest frame by far is detail in truth: a frame of nothing but leaves has no quiet patch.</summary>
    public void LimitNoise(IReadOnlyList<float> quietest)
    {
        for (int level = 0; level < Levels; level++)
            _noise[level] = Math.Min(_noise[level], 2 * quietest[level]);
    }

    /// <summary>Mean detail of a patch across and down less the noise, and the noise; null where the frame was not read.</summary>
    public (float Across, float Down, float Noise)? At(int patch)
    {
        PatchDetail detail = _picture.Patches[patch];
        if (detail.Cells == 0)
            return null;
        float noise = _noise[LevelOf(detail)];
        return (detail.Across / detail.Cells - noise, detail.Down / detail.Cells - noise, noise);
    }

    /// <summary>Logarithm of a patch's detail, held up by half the noise so that patches without detail are alike.</summary>
    public float Log(int patch) => At(patch) is var (across, down, noise) ? MathF.Log(Math.Max(0, (across + down) / 2) + noise / 2 + Floor) : float.NaN;

    private static int LevelOf(PatchDetail detail) => Math.Clamp((int)(detail.Level / detail.Cells) >> 13, 0, Levels - 1);

    // The quiet fifth of the patches shows noise and little else; the quietest cell of sixteen has about a fifth less than the mean.
    private static float[] OwnNoise(CellPicture picture)
    {
        const int LeastPatches = 20;
        const float OfQuietest = 0.5f * 1.25f;
        List<float>[] quiet = [.. Enumerable.Range(0, Levels).Select(_ => new List<float>())];
        foreach (PatchDetail detail in picture.Patches)
        {
            if (detail.Cells > 0)
                quiet[LevelOf(detail)].Add(detail.Quietest * OfQuietest);
        }
        List<float> all = [.. quiet.SelectMany(level => level)];
        if (all.Count == 0)
            return new float[Levels];
        var common = (float)all.Quantile(0.2);
        return [.. quiet.Select(level => level.Count < LeastPatches ? common : (float)level.Quantile(0.2))];
    }
}
