using Imbrex.Engine.Registration;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Pairs that contradict the rest, and groups that nothing joins.</summary>
public sealed class LoopTests(ITestOutputHelper output)
{
    private static readonly PlacementPrior Prior = new(80, 0.009);

    private static (double, double, int, bool)[] Grid(int columns, int rows) =>
        [.. from row in Enumerable.Range(0, rows) from column in Enumerable.Range(0, columns) select (27.0 * column, 18.0 * row, 0, false)];

    /// <summary>A moving thing or a repeated pattern that holds all of a pair's ties together, off by a little or by much.</summary>
    [Theory]
    [InlineData(0.5)]
    [InlineData(3)]
    [InlineData(60)]
    public void A_wrong_pair_is_named_with_what_it_is_off_by_and_does_no_harm(double pixels)
    {
        using var take = new SyntheticTies(Grid(3, 2));
        for (int seed = 0; seed < 6; seed++)
        {
            var random = new Random(seed);
            List<Tie> ties = take.Between((frame, dx, dy) => take.Frames[frame].Nominal.ToCanvas(dx, dy), 0.02, random);
            (int a, int b) = new[] { (0, 1), (0, 3), (1, 4), (1, 2), (4, 5), (0, 4) }[seed];
            // As sure of itself as can be: three times the precision of the others.
            ties = [.. ties.Select(t => t.A == a && t.B == b ? t with { Bx = t.Bx + pixels * 0.8, By = t.By - pixels * 0.6, Information = t.Information.Scaled(9) } : t)];
            RegistrationResult found = Registrar.Judge(take.Frames, [.. take.Frames.Select(f => f.Nominal)], ties, Prior, SyntheticTies.Axis);
            WrongPair wrong = Assert.Single(found.WrongPairs);
            output.WriteLine($"{wrong.A} {wrong.B}: {wrong.Pixels:0.000}");
            Assert.Equal((a, b), (wrong.A, wrong.B));
            Assert.InRange(wrong.Pixels, 0.8 * pixels, 1.25 * pixels);
            Assert.Equal(MotionTerms.Rigid, found.Motion.Model.Terms);
            foreach (Tie tie in found.Ties)
            {
                (double x, double y) = tie.Disagreement(found.Solution.Placements);
                Assert.InRange(Math.Sqrt(x * x + y * y), 0, 0.15);
            }
        }
    }

    /// <summary>Nothing goes round the one join of two groups: it may be wrong, but nothing says so.</summary>
    [Fact]
    public void A_pair_that_nothing_goes_round_is_believed()
    {
        using var take = new SyntheticTies(Grid(3, 1));
        List<Tie> ties = take.Between((frame, dx, dy) => take.Frames[frame].Nominal.ToCanvas(dx, dy), 0.02, new Random(1));
        ties = [.. ties.Select(t => t.A == 0 ? t with { Bx = t.Bx + 12 } : t)];
        RegistrationResult found = Registrar.Judge(take.Frames, [.. take.Frames.Select(f => f.Nominal)], ties, Prior, SyntheticTies.Axis);
        Assert.Empty(found.WrongPairs);
        Assert.Equal(12, take.Frames[1].Nominal.X - take.Frames[0].Nominal.X - (found.Solution.Placements[1].X - found.Solution.Placements[0].X), 0.05);
    }

    /// <summary>Each group keeps its shape and lies as its tiles' plan has it in the mean; how sure that is stands in its deviations.</summary>
    [Fact]
    public void Groups_that_nothing_joins_lie_as_the_plan_has_them()
    {
        using var take = new SyntheticTies(Grid(4, 2));
        var random = new Random(2);
        Placement[] truth = [.. take.Frames.Select(f => new Placement(f.Nominal.X + 30 * SyntheticTies.Normal(random), f.Nominal.Y + 30 * SyntheticTies.Normal(random), 0.002 * SyntheticTies.Normal(random)))];
        bool Left(int frame) => frame % 4 < 2;
        // The last tile is not joined to anything.
        List<Tie> ties = [.. take.Between((frame, dx, dy) => truth[frame].ToCanvas(dx, dy), 0.02, random).Where(t => Left(t.A) == Left(t.B) && t.B != 7)];
        RegistrationResult found = Registrar.Judge(take.Frames, [.. take.Frames.Select(f => f.Nominal)], ties, Prior, SyntheticTies.Axis);
        IReadOnlyList<IReadOnlyList<int>> islands = Islands.Find(8, found.Ties, found.Solution.Weights);
        Assert.Equal(["0 1 4 5", "2 3 6", "7"], islands.Select(island => string.Join(' ', island)));
        Assert.Equal(take.Frames[7].Nominal, found.Solution.Placements[7]);
        foreach (IReadOnlyList<int> island in islands.Take(2))
        {
            Assert.Equal(island.Average(i => take.Frames[i].Nominal.X), island.Average(i => found.Solution.Placements[i].X), 0.01);
            Assert.Equal(island.Average(i => take.Frames[i].Nominal.Y), island.Average(i => found.Solution.Placements[i].Y), 0.01);
            foreach (Tie tie in found.Ties.Where(t => island.Contains(t.A)))
            {
                (double x, double y) = tie.Disagreement(found.Solution.Placements);
                Assert.InRange(Math.Sqrt(x * x + y * y), 0, 0.15);
            }
        }
        // Two means of four and of three tiles, each uncertain by 80 px: several pixels, not thousandths.
        Assert.All(Enumerable.Range(0, 7), i => Assert.InRange(Math.Sqrt(found.Solution.Covariances[i][0, 0]), 5, 80));
    }

    [Fact]
    public void Weak_ties_lean_on_the_plan_and_say_so()
    {
        using var take = new SyntheticTies(Grid(3, 2));
        var random = new Random(3);
        // The right column shows sky: ties a hundred thousand times weaker, and as much in error.
        List<Tie> ties = [.. take.Between((frame, dx, dy) => take.Frames[frame].Nominal.ToCanvas(dx, dy), 0.02, random)
            .Where(t => t.B % 3 != 2 || t.Ax < -2000)
            .Select(t => t.B % 3 == 2 || t.A % 3 == 2 ? t with { Bx = t.Bx + 6 * SyntheticTies.Normal(random), By = t.By + 6 * SyntheticTies.Normal(random), Information = Information.Isotropic(6) } : t)];
        PoseSolution found = PoseSolver.Solve(take.Frames, [.. take.Frames.Select(f => f.Nominal)], ties, new(8, 0.0005));
        for (int i = 0; i < 6; i++)
        {
            double off = Math.Sqrt(Math.Pow(found.Placements[i].X - take.Frames[i].Nominal.X, 2) + Math.Pow(found.Placements[i].Y - take.Frames[i].Nominal.Y, 2));
            double sigma = Math.Sqrt(found.Covariances[i][0, 0] + found.Covariances[i][1, 1]);
            output.WriteLine($"{i}: off {off:0.00}, sigma {sigma:0.00}");
            Assert.InRange(off, 0, 8);
        }
        Assert.True(found.Covariances[5][0, 0] > 3 * found.Covariances[4][0, 0]);
    }
}
