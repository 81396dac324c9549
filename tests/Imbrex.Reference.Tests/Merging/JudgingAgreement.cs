using Imbrex.Judging;
using Xunit;

namespace Imbrex.Reference.Tests.Merging;

/// <summary>The yardsticks of the benchmarks against slow, obvious versions of themselves.</summary>
public sealed class JudgingAgreement
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
        Assert.Equal(2, SeamContrast.Largest(residual, labels, Side, 0), 0.15);
        Assert.True(SeamContrast.Chance(residual, labels, Side, 0) < 0);
        Array.Fill(labels, (byte)3);
        Assert.True(SeamContrast.Largest(residual, labels, Side, 0) < 0);
        for (int i = 0; i < residual.Length; i++)
            residual[i] = Enumerable.Range(0, 12).Sum(_ => random.NextSingle()) - 6;
        // Two strips of 512: 1 / 16 is one standard deviation of their difference.
        Assert.InRange(SeamContrast.Chance(residual, labels, Side, 0), 0, 0.25);
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
