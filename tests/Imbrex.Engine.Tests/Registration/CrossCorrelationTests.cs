using Imbrex.Engine.Registration;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>The coefficient and its peak against a double-precision computation from the definition.</summary>
public sealed class CrossCorrelationTests
{
    [Theory]
    [InlineData(30000, 9000)]
    [InlineData(900, 12)]
    [InlineData(64000, 40)]
    [InlineData(5000, 5)]
    public void The_coefficient_is_the_definitions_in_light_and_shade(double mean, double contrast)
    {
        var random = new Random(3);
        GrayImage a = Picture(90, 70, (x, y) => mean + contrast * (random.NextDouble() - 0.5) * 3.4);
        GrayImage b = Picture(100, 80, (x, y) => 0.8 * (mean + contrast * (random.NextDouble() - 0.5) * 3.4) + (x < 90 && y < 70 ? a.Pixels[y * 90 + x] * 0.7 : mean));
        for (int trial = 0; trial < 60; trial++)
        {
            (int x, int y, int width, int height) = (random.Next(30), random.Next(20), 20 + random.Next(40), 15 + random.Next(30));
            (int dx, int dy) = (random.Next(-40, 50), random.Next(-30, 40));
            Assert.Equal(Slow(a, x, y, width, height, b, dx, dy), CrossCorrelation.Coefficient(a, x, y, width, height, b, dx, dy), 2e-4);
        }
    }

    [Fact]
    public void The_peak_is_where_brute_force_finds_it_refined_below_the_pixel()
    {
        double Scene(double x, double y) => 30000 + 6000 * Math.Sin(0.31 * x + 0.11 * y) + 5000 * Math.Sin(0.23 * y - 0.07 * x + 1) + 3000 * Math.Sin(0.5 * x + 0.43 * y);
        GrayImage a = Picture(80, 60, (x, y) => Scene(x, y)), b = Picture(90, 70, (x, y) => Scene(x - 4.3, y + 2.6));
        CrossCorrelation.Peak peak = CrossCorrelation.Search(a, 15, 12, 50, 40, b, offsetX: 2, offsetY: 1, radius: 6);
        (double best, int bestX, int bestY) = (-1, 0, 0);
        for (int dy = -6; dy <= 6; dy++)
        {
            for (int dx = -6; dx <= 6; dx++)
            {
                double value = Slow(a, 15, 12, 50, 40, b, 2 + dx, 1 + dy);
                if (value > best)
                    (best, bestX, bestY) = (value, dx, dy);
            }
        }
        Assert.False(peak.AtEdge);
        Assert.Equal(best, peak.Coefficient, 1e-5);
        Assert.InRange(peak.Dx - bestX, -0.7, 0.7);
        Assert.InRange(peak.Dy - bestY, -0.7, 0.7);
        // The true shift: column x of a is column x + 4.3 of b. Parabolas for each direction on its own would be 0.28 px off here, where detail
        // runs askew.
        Assert.Equal(4.3 - 2, peak.Dx, 0.06);
        Assert.Equal(-2.6 - 1, peak.Dy, 0.06);
        Assert.True(peak.Bend.IsPositive);
    }

    [Fact]
    public void A_peak_on_the_rim_says_so_and_flat_pictures_give_nothing()
    {
        var random = new Random(5);
        GrayImage a = Picture(60, 60, (_, _) => random.Next(65536)), flat = Picture(60, 60, (_, _) => 20000);
        Assert.True(CrossCorrelation.Search(a, 20, 20, 20, 20, a, 5, 0, 5).AtEdge);
        Assert.Equal(0, CrossCorrelation.Coefficient(a, 20, 20, 20, 20, flat, 0, 0));
        Assert.Equal(0, CrossCorrelation.Coefficient(a, 0, 0, 20, 20, a, -13, 0));
        Assert.Equal(1, CrossCorrelation.Coefficient(a, 0, 0, 20, 20, a, 0, 0), 1e-6);
    }

    private static GrayImage Picture(int width, int height, Func<int, int, double> value)
    {
        var image = new GrayImage(width, height);
        for (int i = 0; i < image.Pixels.Length; i++)
            image.Pixels[i] = (float)value(i % width, i / width);
        return image;
    }

    private static double Slow(GrayImage a, int x, int y, int width, int height, GrayImage b, int dx, int dy)
    {
        List<(double A, double B)> pairs = [];
        for (int row = y; row < y + height; row++)
        {
            for (int column = x; column < x + width; column++)
            {
                if (column + dx >= 0 && row + dy >= 0 && column + dx < b.Width && row + dy < b.Height)
                    pairs.Add((a.Pixels[row * a.Width + column], b.Pixels[(row + dy) * b.Width + column + dx]));
            }
        }
        if (pairs.Count < 0.4 * width * height)
            return 0;
        double meanA = pairs.Average(p => p.A), meanB = pairs.Average(p => p.B);
        double ab = pairs.Sum(p => (p.A - meanA) * (p.B - meanB)), aa = pairs.Sum(p => Math.Pow(p.A - meanA, 2)), bb = pairs.Sum(p => Math.Pow(p.B - meanB, 2));
        return ab / Math.Sqrt(aa * bb);
    }
}
