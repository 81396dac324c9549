using CsCheck;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>The built-in backs once more, known by their forward kinematics only: what is found numerically must be what is computed in closed form.</summary>
public sealed class NumericalTwins
{
    private const double Accuracy = 1e-9;
    private const int Specimens = 300;

    public static TheoryData<string> Adapters => ["rail", "cross-slide", "turret"];

    [Theory]
    [MemberData(nameof(Adapters))]
    public void They_give_the_same_poses(string adapter) => BackGenerator.Any(adapter).Sample((back, spec, setting) =>
    {
        SensorPose known = back.Pose(setting), found = Twin(adapter, spec).Pose(setting);
        Assert.True((known.Centre - found.Centre).Length <= Accuracy);
        Assert.Equal(0, Angles.Wrap(known.TotalRotation - found.TotalRotation), Accuracy);
    }, iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void They_solve_poses_in_reach_alike(string adapter) => BackGenerator.Any(adapter).Sample((back, spec, setting) =>
        Alike(back, Twin(adapter, spec), back.Pose(setting)), iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void They_solve_poses_out_of_reach_alike(string adapter) =>
        Gen.Select(BackGenerator.Any(adapter), Gen.Double[-120, 120], Gen.Double[-120, 120], Gen.Int[0, 3]).Sample((specimen, x, y, turn) =>
        {
            // From the pivot all of the arc is as near, and of two stops side by side either will do.
            if (IsAmbiguous(adapter, specimen.Spec, new(x, y)))
                return;
            Alike(specimen.Back, Twin(adapter, specimen.Spec), new(new(x, y), Turns.All[turn]));
        }, iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void They_have_the_same_limits_tolerances_and_costs(string adapter) => BackGenerator.Any(adapter).Sample((back, spec, setting) =>
    {
        IBack twin = Twin(adapter, spec);
        Assert.Equal(back.Limits.Left, twin.Limits.Left, 2e-6);
        Assert.Equal(back.Limits.Right, twin.Limits.Right, 2e-6);
        Assert.Equal(back.Limits.Top, twin.Limits.Top, 2e-6);
        Assert.Equal(back.Limits.Bottom, twin.Limits.Bottom, 2e-6);
        Assert.Equal(back.Limits.Turns, twin.Limits.Turns);
        Assert.Equal(back.PositionTolerance.X, twin.PositionTolerance.X, Accuracy);
        Assert.Equal(back.PositionTolerance.Y, twin.PositionTolerance.Y, Accuracy);
        MoveCost known = back.Cost(setting with { Positions = [.. spec.Axes.Select(axis => axis.Minimum)] }, setting);
        Assert.Equal(known.Travel, twin.Cost(setting with { Positions = [.. spec.Axes.Select(axis => axis.Minimum)] }, setting).Travel, 1e-8);
    }, iter: Specimens);

    private static void Alike(IBack known, IBack found, SensorPose wanted)
    {
        SettingSolution[] one = [.. known.Solve(wanted).OrderBy(solution => solution.Setting.BackTurned)], other = [.. found.Solve(wanted).OrderBy(solution => solution.Setting.BackTurned)];
        Assert.Equal(one.Length, other.Length);
        foreach ((SettingSolution a, SettingSolution b) in one.Zip(other))
        {
            Assert.Equal((a.Setting.CameraTurn, a.Setting.BackTurned, a.IsReached), (b.Setting.CameraTurn, b.Setting.BackTurned, b.IsReached));
            Assert.Equal(a.Error, b.Error, Accuracy);
            // Out of reach the nearest place is where the distance is least, which near a pivot is a very flat hollow.
            Assert.True((a.Pose.Centre - b.Pose.Centre).Length <= (a.IsReached ? Accuracy : 10 * Accuracy), $"{a.Pose} {a.Setting.Positions[0]:R} {a.Error:R}\n{b.Pose} {b.Setting.Positions[0]:R} {b.Error:R}\n{wanted}");
            Assert.All(a.Setting.Positions.Zip(b.Setting.Positions), pair => Assert.Equal(pair.First, pair.Second, 1e-8));
        }
    }

    private static bool IsAmbiguous(string adapter, BackSpec spec, PlanePoint target)
    {
        bool close = spec.Axes.Any(axis => axis.Detents.Order().Zip(axis.Detents.Order().Skip(1)).Any(pair => pair.Second - pair.First < 1e-3));
        PlanePoint zero = spec.Seats.FirstOrDefault(seat => !seat.BackTurned)?.Centre ?? default;
        return close || (adapter == "turret" && spec.Seats.Any(seat => ((seat.BackTurned ? 2 * seat.Centre - target : target) - zero - Pivot(spec)).Length < 1e-3));
    }

    private static PlanePoint Pivot(BackSpec spec) => new(spec.Parameters["pivot-x"], spec.Parameters["pivot-y"]);

    private static SeatedBack Twin(string adapter, BackSpec spec)
    {
        PlanePoint pivot = default, arm = default;
        if (adapter == "turret")
            (pivot, arm) = (Pivot(spec), new(spec.Parameters["arm-x"], spec.Parameters["arm-y"]));
        Func<IReadOnlyList<double>, CarriagePose> place = adapter switch
        {
            "rail" => p => new(p[0], spec.Parameters["row-offset"]),
            "cross-slide" => p => new(p[0], p[1]),
            _ => p =>
            {
                double angle = p[0] * Math.PI / 180;
                return new(pivot.X + arm.X * Math.Cos(angle) - arm.Y * Math.Sin(angle), pivot.Y + arm.X * Math.Sin(angle) + arm.Y * Math.Cos(angle), p[0]);
            }
            ,
        };
        AxisNeed[] needs = [.. spec.Axes.Select((axis, i) => new AxisNeed($"axis {i}", axis.IsPivot))];
        return new(spec, new NumericalCarriage(spec, needs, place));
    }
}
