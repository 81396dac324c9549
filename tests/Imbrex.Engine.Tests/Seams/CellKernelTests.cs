using Imbrex.Engine.Seams;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class CellKernelTests
{
    [Theory]
    [InlineData(4)]
    [InlineData(8)]
    public void A_cell_is_averaged_and_measured_as_pixel_by_pixel(int side)
    {
        var random = new Random(31);
        const int Width = 23, Height = 17;
        var samples = new ushort[Width * Height * 3 + 3 * Width + CellKernel.Padding];
        Span<float> means = stackalloc float[3];
        for (int trial = 0; trial < 50; trial++)
        {
            for (int i = 0; i < samples.Length; i++)
                samples[i] = (ushort)random.Next(65536);
            (int x, int y) = (random.Next(Width - side), random.Next(Height - side));
            (float right, float down) = ((float)random.NextDouble(), (float)random.NextDouble());

            (float across, float below) = CellKernel.Measure(samples, (y * Width + x) * 3, Width * 3, side, right, down, means);

            double At(int dx, int dy, int band) => samples[((y + dy) * Width + x + dx) * 3 + band];
            for (int band = 0; band < 3; band++)
            {
                // Linear interpolation along each axis, without the term in both at once: that is smaller than what one pixel adds.
                double here = Mean(side, (dx, dy) => At(dx, dy, band));
                double want = here + right * (Mean(side, (dx, dy) => At(dx + 1, dy, band)) - here) + down * (Mean(side, (dx, dy) => At(dx, dy + 1, band)) - here);
                Assert.Equal(want, means[band], 0.05);
            }
            double squaresAcross = 0, squaresDown = 0;
            int countAcross = 0, countDown = 0;
            for (int band = 0; band < 3; band++)
            {
                for (int dy = 0; dy < side; dy += 2)
                {
                    for (int dx = 0; dx < side; dx++)
                    {
                        double pair = At(dx, dy, band) + At(dx, dy + 1, band);
                        if (dx + 2 < side)
                            (squaresAcross, countAcross) = (squaresAcross + Math.Pow(At(dx + 2, dy, band) + At(dx + 2, dy + 1, band) - pair, 2), countAcross + 1);
                        if (dy > 0)
                            (squaresDown, countDown) = (squaresDown + Math.Pow(pair - At(dx, dy - 2, band) - At(dx, dy - 1, band), 2), countDown + 1);
                    }
                }
            }
            Assert.Equal(1, across / (squaresAcross / countAcross / 4), 1e-4);
            Assert.Equal(1, below / (squaresDown / countDown / 4), 1e-4);
        }
    }

    [Fact]
    public void White_noise_gives_its_variance()
    {
        var random = new Random(32);
        var samples = new ushort[200 * 200 * 3];
        for (int i = 0; i < samples.Length; i++)
            samples[i] = (ushort)(30_000 + 400 * Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble()));
        Span<float> means = stackalloc float[3];
        double across = 0, down = 0;
        for (int i = 0; i < 400; i++)
        {
            (float cellAcross, float cellDown) = CellKernel.Measure(samples, (i / 20 * 9 * 200 + i % 20 * 9) * 3, 600, 8, 0, 0, means);
            (across, down) = (across + cellAcross / 400, down + cellDown / 400);
        }
        Assert.InRange(Math.Sqrt(across), 390, 410);
        Assert.InRange(Math.Sqrt(down), 390, 410);
    }

    private static double Mean(int side, Func<int, int, double> at) => Enumerable.Range(0, side * side).Average(i => at(i % side, i / side));
}
