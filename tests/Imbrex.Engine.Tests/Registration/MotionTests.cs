using Imbrex.Engine.Registration;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Tilts, depths, sizes and shapes of frames, from ties that are exact but for a known noise.</summary>
public sealed class MotionTests(ITestOutputHelper output)
{
    private static readonly PlacementPrior Prior = new(80, 0.009);

    // Three level tiles below, and above them three with the back turned over.
    private static (double, double, int, bool)[] TwoStates =>
        [.. from row in new[] { 0, 1 } from column in new[] { -27.0, 0, 27 } select (column, row == 0 ? 9.0 : -9.0, row == 0 ? 0 : 180, row == 1)];

    private static (double, double, int, bool)[] Level =>
        [.. from row in new[] { 9.0, -9 } from column in new[] { -27.0, 0, 27 } select (column, row, 0, false)];

    /// <summary>Design, section 9: a tenth of a degree leaves 0.6 px between level neighbours and 2.7 px to a turned-over row.</summary>
    [Fact]
    public void A_tenth_of_a_degree_leaves_what_the_design_says_and_is_found()
    {
        using var level = new SyntheticTies(Level);
        using var over = new SyntheticTies(TwoStates);
        (double X, double Y) tilt = (Math.Tan(0.1 * Math.PI / 180), 0);
        double levelLeft = 0, overLeft = 0;
        foreach ((double X, double Y) direction in new[] { tilt, (0, tilt.X) })
        {
            levelLeft = Math.Max(levelLeft, MostLeft(level, SensorTilt(level, direction), 0, 1));
            overLeft = Math.Max(overLeft, MostLeft(over, SensorTilt(over, direction), 0, 3));
            overLeft = Math.Max(overLeft, MostLeft(over, SensorTilt(over, direction), 1, 4));
        }
        output.WriteLine($"{levelLeft:0.00} px between level neighbours, {overLeft:0.00} px to the turned-over row");
        Assert.InRange(levelLeft, 0.5, 0.7);
        Assert.InRange(overLeft, 2.2, 3.2);

        RegistrationResult found = Registrar.Judge(over.Frames, Nominal(over), over.Between(SensorTilt(over, tilt), 0.01, new Random(1)), Prior, SyntheticTies.Axis);
        (double x, double y) = found.Motion.Model.SensorTilt(found.Solution.Unknowns)!.Value;
        Tell(found);
        Assert.Equal(MotionTerms.SensorTilt, found.Motion.Model.Terms);
        Assert.Empty(found.WrongPairs);
        // Slope over the pupil's distance, 150 mm, to a fiftieth.
        Assert.Equal(tilt.X / 150, x, tilt.X / 150 / 50);
        Assert.Equal(0, y, tilt.X / 150 / 50);
        Assert.InRange(Error(over, found, SensorTilt(over, tilt)), 0, 0.02);
    }

    /// <summary>With one way of standing only, tilt shows as sizes that rise across the tiles.</summary>
    [Fact]
    public void Tilt_is_found_between_level_tiles_too()
    {
        using var take = new SyntheticTies(Level);
        Func<int, double, double, (double, double)> cast = SensorTilt(take, (0.0017, -0.001));
        RegistrationResult found = Registrar.Judge(take.Frames, Nominal(take), take.Between(cast, 0.01, new Random(2)), Prior, SyntheticTies.Axis);
        Tell(found);
        Assert.Equal(MotionTerms.SensorTilt, found.Motion.Model.Terms);
        // A keystone common to all cannot be seen; between neighbours nothing is left.
        Assert.InRange(Left(take, found, cast), 0, 0.02);
    }

    [Fact]
    public void A_back_that_sits_askew_and_nearer_when_turned_over_is_found()
    {
        using var take = new SyntheticTies(TwoStates);
        (double sx, double sy, double nearer) = (0.001, -0.0006, 0.0004);
        (double X, double Y) Cast(int frame, double dx, double dy)
        {
            (double qx, double qy) = (take.Frames[frame].Nominal.X + dx - SyntheticTies.Axis.X, take.Frames[frame].Nominal.Y + dy - SyntheticTies.Axis.Y);
            double w = take.Frames[frame].Body.BackTurned ? (1 + nearer) / (1 - (sx * qx + sy * qy) / SyntheticTies.Pupil) : 1;
            return (SyntheticTies.Axis.X + qx * w, SyntheticTies.Axis.Y + qy * w);
        }
        RegistrationResult found = Registrar.Judge(take.Frames, Nominal(take), take.Between(Cast, 0.01, new Random(3)), Prior, SyntheticTies.Axis);
        Tell(found);
        Assert.True(found.Motion.Model.Terms.HasFlag(MotionTerms.Seat));
        (double x, double y, double larger) = found.Motion.Model.Seat(found.Solution.Unknowns)!.Value;
        Assert.Equal(sx / 150, x, 0.05 * sx / 150);
        Assert.Equal(sy / 150, y, 0.05 * sx / 150);
        Assert.Equal(nearer, larger, 0.05 * nearer);
        Assert.InRange(Left(take, found, Cast), 0, 0.02);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Sizes_and_shapes_of_single_frames_are_found_last(bool bent)
    {
        using var take = new SyntheticTies(TwoStates);
        var random = new Random(4);
        Warp[] warps = [.. take.Frames.Select(_ => bent
            ? new Warp(Some(2e-4), Some(2e-4), Some(2e-4), Some(2e-4), Some(1e-7), Some(1e-7)) : Warp.OfScale(1 + Some(5e-4)))];
        double Some(double size) => size * SyntheticTies.Normal(random);
        (double X, double Y) Cast(int frame, double dx, double dy) => (take.Frames[frame].Nominal with { Warp = warps[frame] }).ToCanvas(dx, dy);
        RegistrationResult found = Registrar.Judge(take.Frames, Nominal(take), take.Between(Cast, 0.01, random), Prior, SyntheticTies.Axis);
        Tell(found);
        Assert.Equal(bent, found.Motion.Model.Terms.HasFlag(MotionTerms.Projective));
        Assert.Equal(!bent, found.Motion.Model.Terms.HasFlag(MotionTerms.Scale) && !found.Motion.Model.Terms.HasFlag(MotionTerms.Projective));
        Assert.InRange(Left(take, found, Cast), 0, 0.03);
    }

    [Fact]
    public void Frames_that_only_shift_and_turn_are_not_bent()
    {
        using var take = new SyntheticTies(TwoStates);
        for (int seed = 0; seed < 20; seed++)
        {
            var random = new Random(seed);
            Placement[] truth = [.. take.Frames.Select(f => new Placement(f.Nominal.X + 30 * SyntheticTies.Normal(random), f.Nominal.Y + 30 * SyntheticTies.Normal(random), 0.002 * SyntheticTies.Normal(random)))];
            RegistrationResult found = Registrar.Judge(take.Frames, Nominal(take),
                take.Between((frame, dx, dy) => truth[frame].ToCanvas(dx, dy), 0.05, random), Prior, SyntheticTies.Axis);
            Assert.Equal(MotionTerms.Rigid, found.Motion.Model.Terms);
            Assert.Empty(found.WrongPairs);
            Assert.Equal(4, found.Motion.Trials.Count);
        }
    }

    /// <summary>Both ways of writing the same cast.</summary>
    [Fact]
    public void A_placement_maps_as_the_formulas_of_the_design()
    {
        using var take = new SyntheticTies(TwoStates);
        var model = new MotionModel(take.Frames, SyntheticTies.Axis, MotionTerms.SensorTilt | MotionTerms.Seat);
        double[] unknowns = model.Start([.. take.Frames.Select((f, i) => f.Nominal with { Angle = 0.003 * i })]);
        for (int k = 0; k < 5; k++)
            unknowns[model.FirstShared + k] = 1.5 - 0.7 * k;
        (double X, double Y) p = model.SensorTilt(unknowns)!.Value;
        (double X, double Y, double Larger) s = model.Seat(unknowns)!.Value;
        for (int frame = 0; frame < take.Frames.Count; frame++)
        {
            PlacedFrame f = take.Frames[frame];
            double sign = f.Body.TurnDeg == 180 ? -1 : 1;
            (double sin, double cos) = Math.SinCos(0.003 * frame);
            foreach ((double dx, double dy) in new[] { (0.0, 0.0), (3000, 2000), (-2500, 1000) })
            {
                double w = 1 - sign * (p.X * dx + p.Y * dy) / SyntheticTies.PxPerMm;
                (double qx, double qy) = ((f.Nominal.X - SyntheticTies.Axis.X + cos * dx - sin * dy) / w, (f.Nominal.Y - SyntheticTies.Axis.Y + sin * dx + cos * dy) / w);
                double seat = f.Body.BackTurned ? (1 + s.Larger) / (1 - (s.X * qx + s.Y * qy) / SyntheticTies.PxPerMm) : 1;
                (double x, double y) = model.Place(frame, unknowns).ToCanvas(dx, dy);
                Assert.Equal(SyntheticTies.Axis.X + seat * qx, x, 1e-6);
                Assert.Equal(SyntheticTies.Axis.Y + seat * qy, y, 1e-6);
            }
        }
    }

    private static IReadOnlyList<Placement> Nominal(SyntheticTies take) => [.. take.Frames.Select(f => f.Nominal)];

    // The cast of a sensor that is tilted in the body: C + (T - C + d) / (1 - p . d), p turned with the body.
    private static Func<int, double, double, (double X, double Y)> SensorTilt(SyntheticTies take, (double X, double Y) slope) => (frame, dx, dy) =>
    {
        PlacedFrame f = take.Frames[frame];
        (double sin, double cos) = Math.SinCos(f.Body.TurnDeg * Math.PI / 180);
        double w = 1 - ((cos * slope.X - sin * slope.Y) * dx + (sin * slope.X + cos * slope.Y) * dy) / SyntheticTies.Pupil;
        return (SyntheticTies.Axis.X + (f.Nominal.X - SyntheticTies.Axis.X + dx) / w, SyntheticTies.Axis.Y + (f.Nominal.Y - SyntheticTies.Axis.Y + dy) / w);
    };

    // The largest disagreement of a pair over what it shares, the mean taken off.
    private static double MostLeft(SyntheticTies take, Func<int, double, double, (double X, double Y)> cast, int a, int b)
    {
        List<(double X, double Y)> off = [];
        IReadOnlyList<Placement> nominal = Nominal(take);
        SharedArea area = SharedArea.Between(take.Frames, nominal, a, b, 0)!.Value;
        for (int i = 0; i < 81; i++)
        {
            double ax = area.Left + area.Width * (i % 9) / 8.0, ay = area.Top + area.Height * (i / 9) / 8.0;
            (double bx, double by) = nominal[b].ToFrame(nominal[a].X + ax, nominal[a].Y + ay);
            (double x1, double y1) = cast(a, ax, ay);
            (double x2, double y2) = cast(b, bx, by);
            off.Add((x1 - x2, y1 - y2));
        }
        (double mx, double my) = (off.Average(o => o.X), off.Average(o => o.Y));
        return off.Max(o => Math.Sqrt(Math.Pow(o.X - mx, 2) + Math.Pow(o.Y - my, 2)));
    }

    // Largest disagreement of noiseless ties.
    private static double Left(SyntheticTies take, RegistrationResult found, Func<int, double, double, (double X, double Y)> cast) =>
        take.Between(cast, 0, new Random(9)).Max(tie =>
        {
            (double x, double y) = tie.Disagreement(found.Solution.Placements);
            return Math.Sqrt(x * x + y * y);
        });

    private static double Error(SyntheticTies take, RegistrationResult found, Func<int, double, double, (double X, double Y)> cast) => Left(take, found, cast);

    private void Tell(RegistrationResult found)
    {
        foreach (MotionTrial t in found.Motion.Trials)
            output.WriteLine($"{t.Terms}: {t.Parameters} F {t.FStatistic:0.0} p {t.Probability:0.0e0} effect {t.Effect:0.0000} {(t.Used ? "used" : "")}");
        foreach (WrongPair pair in found.WrongPairs)
            output.WriteLine($"wrong {pair.A} {pair.B}: {pair.Pixels:0.00}");
    }
}
