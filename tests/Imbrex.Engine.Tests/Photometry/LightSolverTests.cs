using Imbrex.Engine.Photometry;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Gains of a few patches whose answer is known.</summary>
public sealed class LightSolverTests
{
    private static PatchRow Ratio(int a, int b, double ratio, double weight = 1e6) => new(a, b, 0.2 * ratio, 0.2, 0, 1 / Math.Sqrt(weight), new double[SensorShading.Terms.Count]);

    private static double[] Gains(int frames, params PatchRow[] rows) =>
        [.. LightSolver.Solve(frames, rows, new(Gains: true, Shading: false, Glare: false), linearSeen: false).LogGains.Select(Math.Exp)];

    // Reference sheet 3.1: mean light 100 against 80, log least squares with mean log gain 0; computed there from the formula.
    [Fact]
    public void The_handbook_example_leaves_no_residual()
    {
        double[] gains = Gains(2, Ratio(0, 1, 100 / 80.0));
        Assert.Equal(0.894427, gains[0], 1e-6);
        Assert.Equal(1.11803, gains[1], 1e-5);
    }

    [Fact]
    public void Contradicting_measurements_are_weighed()
    {
        // A ring of three whose ratios multiply to 1.03: by symmetry a third of the contradiction stays in every pair.
        double[] gains = Gains(3, Ratio(0, 1, 1.1), Ratio(1, 2, 1.2), Ratio(2, 0, 1.03 / 1.32));
        double third = Math.Pow(1.03, 1 / 3.0);
        Assert.Equal(third, 1.1 * gains[0] / gains[1], 1e-6);
        Assert.Equal(third, 1.2 * gains[1] / gains[2], 1e-6);
        Assert.Equal(1, gains[0] * gains[1] * gains[2], 1e-9);
        // Without weight the last pair does not count.
        gains = Gains(3, Ratio(0, 1, 1.1), Ratio(1, 2, 1.2), Ratio(2, 0, 5, weight: 1e-9));
        Assert.Equal(1, 1.1 * gains[0] / gains[1], 1e-6);
    }

    [Fact]
    public void A_frame_that_nothing_compares_keeps_its_light_relative_to_the_mean()
    {
        double[] gains = Gains(3, Ratio(0, 1, 1.5));
        Assert.Equal(1, gains[2], 1e-6);
        Assert.Equal(1.5, gains[1] / gains[0], 1e-6);
        Assert.Equal([1.0], Gains(1));
    }
}
