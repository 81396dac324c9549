using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

public sealed class PoseSolverTests : IDisposable
{
    // Positions nearly free, rotations locked, as in the handbook's examples.
    private static readonly PlacementPrior Locked = new(1e5, 1e-7);

    private readonly RawFrames _raw = new();

    public void Dispose() => _raw.Dispose();

    // Reference sheet 2.7, computed there from the normal equations.
    [Fact]
    public void The_ring_of_four_closes_as_in_the_handbook()
    {
        Placement[] p = Solve(4, [Tie(0, 1, 90, 1), Tie(1, 3, 0, 60), Tie(0, 2, 1, 60), Tie(2, 3, 90, -2)]);
        Near(90.25, 0.25, p[1], p[0]);
        Near(0.75, 60.75, p[2], p[0]);
        Near(90.5, 59.5, p[3], p[0]);
    }

    // Reference sheet 2.7.
    [Fact]
    public void Three_in_a_line_share_a_contradiction_as_in_the_handbook()
    {
        Placement[] p = Solve(3, [Tie(0, 1, 100, 0), Tie(1, 2, 100, 0), Tie(0, 2, 203, 0)]);
        Near(101, 0, p[1], p[0]);
        Near(202, 0, p[2], p[0]);
    }

    // Reference sheet 2.7, weight 0.25 on the last. Every measurement is there twice, equally far to either side, so that the robust
    // weights are equal and the plain least squares of the handbook remain.
    [Fact]
    public void A_weaker_measurement_gives_way_as_in_the_handbook()
    {
        Tie[] ties = [.. new[] { -100, 100 }.SelectMany(off => new[] { Tie(0, 1, 100 + off, 0), Tie(1, 2, 100 + off, 0), Tie(0, 2, 203 + 2 * off, 0, sigma: 2) })];
        Placement[] p = Solve(3, ties);
        Near(100.5, 0, p[1], p[0], 0.01);
        Near(201, 0, p[2], p[0], 0.01);
    }

    [Fact]
    public void Shifts_and_rotations_that_agree_with_all_ties_are_found()
    {
        var random = new Random(2);
        PlacedFrame[] frames = Frames(4);
        Placement[] truth = [.. frames.Select(f => new Placement(f.Nominal.X + 20 * (random.NextDouble() - 0.5), f.Nominal.Y + 20 * (random.NextDouble() - 0.5), 0.02 * (random.NextDouble() - 0.5)))];
        PoseSolution solution = PoseSolver.Solve(frames, [.. frames.Select(f => f.Nominal)], TiesBetween(truth, 12, 0, random), new(30, 0.02));
        foreach (Tie tie in TiesBetween(truth, 5, 0, random))
        {
            (double x, double y) = tie.Disagreement(solution.Placements);
            Assert.InRange(Math.Sqrt(x * x + y * y), 0, 1e-3);
        }
    }

    [Fact]
    public void A_gross_outlier_counts_for_nothing()
    {
        var random = new Random(3);
        PlacedFrame[] frames = Frames(4);
        Placement[] truth = [.. frames.Select(f => f.Nominal)];
        List<Tie> ties = TiesBetween(truth, 8, 0.02, random);
        ties[5] = ties[5] with { Bx = ties[5].Bx + 40 };
        PoseSolution solution = PoseSolver.Solve(frames, truth, ties, new(30, 0.02));
        Assert.Equal(0, solution.Weights[5]);
        Assert.All(solution.Placements.Zip(truth), pair => Assert.Equal(pair.Second.X, pair.First.X, 0.05));
        Assert.True(solution.Weights.Count(w => w > 0.5) > ties.Count * 0.8);
    }

    [Fact]
    public void A_frame_without_ties_stays_where_the_plan_puts_it()
    {
        PlacedFrame[] frames = Frames(3);
        PoseSolution solution = PoseSolver.Solve(frames, [new(1, 2, 0.1), new(3, 4, 0.1), new(5, 6, 0.1)], [Tie(0, 1, 100, 3)], new(30, 0.02));
        Assert.Equal(frames[2].Nominal.X, solution.Placements[2].X, 1e-6);
        Assert.Equal(frames[2].Nominal.Y, solution.Placements[2].Y, 1e-6);
        Assert.Equal(frames[2].Nominal.Angle, solution.Placements[2].Angle, 1e-9);
    }

    /// <summary>The reported deviations against the scatter over noise, though the ties claim three times the precision they have.</summary>
    [Fact]
    public void The_deviations_are_honest_about_position_and_angle()
    {
        PlacedFrame[] frames = Frames(4);
        Placement[] truth = [.. frames.Select(f => f.Nominal)];
        double position = 0, angle = 0;
        const int Runs = 60;
        for (int seed = 0; seed < Runs; seed++)
        {
            List<Tie> ties = [.. TiesBetween(truth, 10, 0.1, new Random(seed)).Select(t => t with { Information = t.Information.Scaled(9) })];
            PoseSolution s = PoseSolver.Solve(frames, truth, ties, new(100, 0.1));
            (double meanX, double meanY, double meanAngle) = (Mean(s, truth, p => p.X), Mean(s, truth, p => p.Y), Mean(s, truth, p => p.Angle));
            for (int i = 0; i < 4; i++)
            {
                // The common shift and the common rotation about the middle are nobody's error.
                (double ox, double oy) = (truth[i].X - truth.Average(p => p.X), truth[i].Y - truth.Average(p => p.Y));
                double common = CommonRotation(s, truth);
                double ex = s.Placements[i].X - truth[i].X - meanX + common * oy, ey = s.Placements[i].Y - truth[i].Y - meanY - common * ox;
                double ea = s.Placements[i].Angle - truth[i].Angle - common;
                position += (ex * ex + ey * ey) / (s.Covariances[i][0, 0] + s.Covariances[i][1, 1]) / (4 * Runs);
                angle += ea * ea / s.Covariances[i][2, 2] / (4 * Runs);
            }
        }
        Assert.InRange(Math.Sqrt(position), 0.7, 1.4);
        Assert.InRange(Math.Sqrt(angle), 0.7, 1.4);
    }

    private static double Mean(PoseSolution s, Placement[] truth, Func<Placement, double> value) => s.Placements.Zip(truth).Average(pair => value(pair.First) - value(pair.Second));

    // Least squares over positions and angles together, angles counted at the frames' half diagonal, as the solver fixes its gauge.
    private static double CommonRotation(PoseSolution s, Placement[] truth)
    {
        double radius2 = 149.5 * 149.5 + 99.5 * 99.5, meanX = truth.Average(p => p.X), meanY = truth.Average(p => p.Y), top = 0, bottom = 0;
        for (int i = 0; i < truth.Length; i++)
        {
            (double ox, double oy) = (truth[i].X - meanX, truth[i].Y - meanY);
            top += ox * (s.Placements[i].Y - truth[i].Y) - oy * (s.Placements[i].X - truth[i].X) + radius2 * (s.Placements[i].Angle - truth[i].Angle);
            bottom += ox * ox + oy * oy + radius2;
        }
        return top / bottom;
    }

    private PlacedFrame[] Frames(int count) =>
        [.. Enumerable.Range(0, count).Select(i => new PlacedFrame($"f{i}", _raw.Of(300, 200, new ushort[300 * 200 * 3]), new(150 + 220 * (i % 2), 100 + 150 * (i / 2), 0)))];

    private Placement[] Solve(int count, Tie[] ties)
    {
        PlacedFrame[] frames = Frames(count);
        return [.. PoseSolver.Solve(frames, [.. frames.Select(f => f.Nominal)], ties, Locked).Placements];
    }

    // The second frame's centre lies at (dx, dy) of the first's.
    [Fact]
    public void An_error_is_added_to_the_covariance()
    {
        var information = new Information(4, 1, 2);
        Matrix<double> Matrix(Information w) => Matrix<double>.Build.DenseOfArray(new[,] { { w.Xx, w.Xy }, { w.Xy, w.Yy } });
        Matrix<double> want = (Matrix(information).Inverse() + 0.3 * Matrix<double>.Build.DenseIdentity(2)).Inverse();
        Assert.True((Matrix(information.WithError(0.3)) - want).L2Norm() < 1e-12);
    }

    private static Tie Tie(int a, int b, double dx, double dy, double sigma = 1) => new(a, b, dx, dy, 0, 0, Information.Isotropic(sigma));

    private static List<Tie> TiesBetween(Placement[] places, int each, double noise, Random random)
    {
        List<Tie> ties = [];
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        for (int a = 0; a < places.Length; a++)
        {
            for (int b = a + 1; b < places.Length; b++)
            {
                for (int i = 0; i < each; i++)
                {
                    double x = (places[a].X + places[b].X) / 2 + 60 * (random.NextDouble() - 0.5), y = (places[a].Y + places[b].Y) / 2 + 60 * (random.NextDouble() - 0.5);
                    (double ax, double ay) = places[a].ToFrame(x, y);
                    (double bx, double by) = places[b].ToFrame(x + noise * Normal(), y + noise * Normal());
                    ties.Add(new(a, b, ax, ay, bx, by, Information.Isotropic(Math.Max(noise, 0.02))));
                }
            }
        }
        return ties;
    }

    private static void Near(double dx, double dy, Placement p, Placement origin, double tolerance = 1e-4)
    {
        Assert.Equal(dx, p.X - origin.X, tolerance);
        Assert.Equal(dy, p.Y - origin.Y, tolerance);
    }
}
