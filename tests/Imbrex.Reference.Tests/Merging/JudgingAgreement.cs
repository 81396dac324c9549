using Imbrex.Judging;
using Xunit;

namespace Imbrex.Reference.Tests.Merging;

/// <summary>The yardsticks of the benchmarks against slow, obvious versions of themselves.</summary>
public sealed class JudgingAgreement(ITestOutputHelper output)
{
    // Wang et al. 2004, equations 13 to 16, window by window in double precision.
    [Fact]
    public void Similarity_is_the_formula_window_by_window()
    {
        const int Width = 40, Height = 30;
        var random = new Random(3);
        float[] a = [.. Enumerable.Range(0, Width * Height).Select(i => 0.5f + 0.3f * MathF.Sin(i * 0.21f) + 0.1f * random.NextSingle())];
        float[] b = [.. a.Select(value => 0.95f * value + 0.05f * random.NextSingle())];
        double sum = 0;
        for (int y = 5; y < Height - 5; y++)
        {
            for (int x = 5; x < Width - 5; x++)
                sum += Window(a, b, Width, x, y);
        }
        Assert.Equal(sum / 600, new Ssim().Sum(a, b, Width, Height) / 600, 2e-5);
        Assert.Equal(1, new Ssim().Sum(a, a, Width, Height) / 600, 1e-5);
    }

    [Fact]
    public void A_step_at_a_seam_is_measured_in_units_of_the_noise()
    {
        const int Side = SeamContrast.Side;
        var random = new Random(5);
        var labels = new byte[Side * Side];
        var residual = new float[Side * Side];
        for (int i = 0; i < residual.Length; i++)
        {
            labels[i] = (byte)(i % Side + i / Side / 4 < 40 ? 3 : 7);
            // Standard deviation 1 by the sum of twelve; a step of 2.
            residual[i] = Enumerable.Range(0, 12).Sum(_ => random.NextSingle()) - 6 + (labels[i] == 7 ? 2 : 0);
        }
        SeamContrast.Piece piece = Assert.Single(SeamContrast.Pieces(labels, Side, 0));
        Assert.Equal(2, SeamContrast.Of(piece, residual, Side, 0), 0.15);
        Assert.False(SeamContrast.IsPlain(labels, Side, 0));
        Array.Fill(labels, (byte)3);
        Assert.True(SeamContrast.IsPlain(labels, Side, 0));
        Assert.Empty(SeamContrast.Pieces(labels, Side, 0));
    }

    // Pure noise has no seams: whatever the measure finds is chance, and what it says of chance must agree, for long pieces and short ones.
    [Fact]
    public void Chance_is_what_pure_noise_gives()
    {
        const int Side = 512, Pictures = 60;
        byte[] labels = WavySeam(Side);
        int aboveMedian = 0, aboveMost = 0;
        (double squares, double chances) = (0, 0);
        for (int seed = 0; seed < Pictures; seed++)
        {
            SeamError found = SeamError.Of([.. SeamPiece.Of(Noise(Side * Side, seed), labels, Side, Side)])!;
            (aboveMedian, aboveMost) = (aboveMedian + (found.Worst > found.Chance ? 1 : 0), aboveMost + (found.Worst > found.MostChance ? 1 : 0));
            (squares, chances) = (squares + found.Rms * found.Rms, chances + found.ChanceRms * found.ChanceRms);
        }
        output.WriteLine($"worst above the median of chance {aboveMedian} times of {Pictures}, above 95 of 100 {aboveMost} times; rms {Math.Sqrt(squares / Pictures):0.0000} ({Math.Sqrt(chances / Pictures):0.0000})");
        // Three standard deviations of the binomial distribution each way.
        Assert.InRange(aboveMedian, 0.5 * Pictures - 12, 0.5 * Pictures + 12);
        Assert.InRange(aboveMost, 0, 0.05 * Pictures + 6);
        // The variance of the difference of two means of white noise.
        double white = Pieces(labels, Side).Average(piece => 1.0 / piece.One.Length + 1.0 / piece.Other.Length);
        Assert.InRange(chances / Pictures / white, 0.95, 1.05);
        Assert.InRange(squares / Pictures / white, 0.85, 1.15);
    }

    [Fact]
    public void A_faint_step_along_all_seams_shows_in_their_mean_square()
    {
        const int Side = 512;
        byte[] labels = WavySeam(Side);
        float[] residual = Noise(Side * Side, 3);
        SeamError without = SeamError.Of([.. SeamPiece.Of(residual, labels, Side, Side)])!;
        for (int i = 0; i < residual.Length; i++)
            residual[i] += labels[i] == 1 ? 0.15f : 0;
        SeamError with = SeamError.Of([.. SeamPiece.Of(residual, labels, Side, Side)])!;
        Assert.InRange(without.Rms / without.ChanceRms, 0.5, 1.4);
        Assert.True(with.Rms > 1.5 * with.ChanceRms, $"rms {with.Rms:0.000}, by chance {with.ChanceRms:0.000}");
    }

    // A seam that runs through squares in all ways, and cuts corners off some.
    private static byte[] WavySeam(int side) =>
        [.. Enumerable.Range(0, side * side).Select(i => (byte)(i % side < side / 2 + 90 * Math.Sin(i / side * 0.03) ? 0 : 1))];

    private static IEnumerable<SeamContrast.Piece> Pieces(byte[] labels, int side) =>
        from y in Enumerable.Range(0, side / SeamContrast.Side)
        from x in Enumerable.Range(0, side / SeamContrast.Side)
        from piece in SeamContrast.Pieces(labels, side, (y * side + x) * SeamContrast.Side)
        select piece;

    // Normal by Box and Muller.
    private static float[] Noise(int count, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, count).Select(_ => (float)(Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble())))];
    }

    private static double Window(float[] a, float[] b, int width, int x, int y)
    {
        double weights = 0, ma = 0, mb = 0;
        void Each(Action<double, double, double> look)
        {
            for (int dy = -5; dy <= 5; dy++)
            {
                for (int dx = -5; dx <= 5; dx++)
                    look(Math.Exp(-(dx * dx + dy * dy) / (2 * 1.5 * 1.5)), a[(y + dy) * width + x + dx], b[(y + dy) * width + x + dx]);
            }
        }
        Each((w, p, q) => (weights, ma, mb) = (weights + w, ma + w * p, mb + w * q));
        (ma, mb) = (ma / weights, mb / weights);
        double va = 0, vb = 0, vab = 0;
        Each((w, p, q) => (va, vb, vab) = (va + w / weights * (p - ma) * (p - ma), vb + w / weights * (q - mb) * (q - mb), vab + w / weights * (p - ma) * (q - mb)));
        return (2 * ma * mb + 1e-4) * (2 * vab + 9e-4) / ((ma * ma + mb * mb + 1e-4) * (va + vb + 9e-4));
    }
}
