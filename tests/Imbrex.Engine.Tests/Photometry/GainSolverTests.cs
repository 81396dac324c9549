using Imbrex.Engine.Photometry;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

public sealed class GainSolverTests
{
    private static LightRatio Ratio(int a, int b, double ratio, double weight = 1e6) => new(a, b, [Math.Log(ratio), 0, 0], [weight, weight, weight], []);

    // Reference sheet 3.1: mean light 100 against 80, log least squares with mean log gain 0; computed there from the formula.
    [Fact]
    public void The_handbook_example_leaves_no_residual()
    {
        double[] gains = GainSolver.Solve(2, [Ratio(0, 1, 100 / 80.0)], 0);
        Assert.Equal(0.894427, gains[0], 1e-6);
        Assert.Equal(1.11803, gains[1], 1e-5);
        Assert.Equal([1.0, 1.0], GainSolver.Solve(2, [Ratio(0, 1, 100 / 80.0)], 1));
    }

    [Fact]
    public void Contradicting_measurements_are_weighed()
    {
        // A ring of three whose ratios multiply to 1.03: by symmetry a third of the contradiction stays in every pair.
        double[] gains = GainSolver.Solve(3, [Ratio(0, 1, 1.1), Ratio(1, 2, 1.2), Ratio(2, 0, 1.03 / 1.32)], 0);
        double third = Math.Pow(1.03, 1 / 3.0);
        Assert.Equal(third, 1.1 * gains[0] / gains[1], 1e-6);
        Assert.Equal(third, 1.2 * gains[1] / gains[2], 1e-6);
        Assert.Equal(1, gains[0] * gains[1] * gains[2], 1e-9);
        // Without weight the last pair does not count.
        gains = GainSolver.Solve(3, [Ratio(0, 1, 1.1), Ratio(1, 2, 1.2), Ratio(2, 0, 5, weight: 0)], 0);
        Assert.Equal(1, 1.1 * gains[0] / gains[1], 1e-6);
    }

    [Fact]
    public void A_frame_that_nothing_compares_keeps_its_light_relative_to_the_mean()
    {
        double[] gains = GainSolver.Solve(3, [Ratio(0, 1, 1.5)], 0);
        Assert.Equal(1, gains[2], 1e-6);
        Assert.Equal(1.5, gains[1] / gains[0], 1e-6);
        Assert.Equal([1.0], GainSolver.Solve(1, [], 0));
    }
}
