using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Seams;

/// <summary>How far two frames differ anyway, by brightness: noise, and whatever is amiss everywhere.</summary>
internal static class PairNoise
{
    private const int Levels = 8, MostSamples = 6000, LeastSamples = 20;

    /// <summary>Standard deviation of rounding and interpolation, codes: never less is assumed.</summary>
    private const float Least = 8;

    /// <summary>A step of brightness with less than this part of the cells may hold nothing but what moved.</summary>
    private const int LeastPart = 20;

    /// <summary>The step of brightness of a cell with these codes of green.</summary>
    public static int LevelOf(int a, int b) => (a + b) >> 14;

    /// <summary>Variance of one channel's difference for eight steps of brightness, from the median over a sample of cells.</summary>
    public static float[] ByLevel(SharedCells shared, int band, CellPlane difference)
    {
        List<float>[] samples = [.. Enumerable.Range(0, Levels).Select(_ => new List<float>())];
        int step = Math.Max(1, shared.Count / MostSamples), next = 0;
        for (int y = 0; y < shared.Rows; y++)
        {
            CellSpan span = shared.Span(shared.Top + y);
            for (; next < span.Length; next += step)
            {
                (int a, int b) = shared.Codes(1, span.First + next, shared.Top + y);
                samples[LevelOf(a, b)].Add(Math.Abs(difference.Row(y)[span.First - shared.Left + next]));
            }
            next = Math.Max(0, next - span.Length);
        }
        int total = samples.Sum(level => level.Count);
        float all = Sigma([.. samples.SelectMany(level => level)]);
        return [.. samples.Select(level => level.Count < Math.Max(LeastSamples, total / LeastPart) ? all : Math.Min(Sigma(level), 3 * all)).Select(sigma => sigma * sigma)];
    }

    private static float Sigma(List<float> values) => MathF.Max(1.482602f * values.Median(), Least);
}
