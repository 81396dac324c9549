using CsCheck;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>Forward and inverse kinematics of every built-in back, on random specimens with random faults.</summary>
public sealed class Kinematics
{
    private const double Accuracy = 1e-9;
    private const int Specimens = 1000;

    public static TheoryData<string> Adapters => ["rail", "cross-slide", "double-rail", "turret"];

    [Theory]
    [MemberData(nameof(Adapters))]
    public void Solving_a_pose_gives_a_setting_of_that_pose(string adapter) => Generator(adapter).Sample((back, spec, setting) =>
    {
        SensorPose pose = back.Pose(setting);
        SettingSolution best = back.Solve(pose)[0];
        Assert.True(best.IsReached, best.Reason);
        SensorPose again = back.Pose(best.Setting);
        Assert.True((again.Centre - best.Pose.Centre).Length <= Accuracy);
        Assert.Equal(best.Error, (again.Centre - pose.Centre).Length, Accuracy);
        SettingSolution same = Assert.Single(back.Solve(pose), solution => solution.Setting.BackTurned == setting.BackTurned);
        if (same.Setting.CameraTurn == setting.CameraTurn)
        {
            Assert.True((same.Pose.Centre - pose.Centre).Length <= Accuracy);
            Assert.Equal(pose.TotalRotation, same.Pose.TotalRotation, Accuracy);
        }
    }, iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void A_solution_is_always_a_legal_setting_and_no_legal_stop_comes_nearer(string adapter) =>
        Gen.Select(Generator(adapter), Gen.Double[-120, 120], Gen.Double[-120, 120], Gen.Int[0, 3]).Sample((specimen, x, y, turn) =>
        {
            (IBack back, BackSpec spec, Setting setting) = specimen;
            var wanted = new SensorPose(new(x, y), Turns.All[turn]);
            IReadOnlyList<SettingSolution> solutions = back.Solve(wanted);
            Assert.Equal(spec.Seats.Count, solutions.Count);
            foreach (SettingSolution solution in solutions)
            {
                for (int i = 0; i < spec.Axes.Count; i++)
                    Assert.True(IsLegal(spec.Axes[i], solution.Setting.Positions[i]));
                Assert.Equal(solution.Error, (back.Pose(solution.Setting).Centre - wanted.Centre).Length, Accuracy);
                double other = (back.Pose(solution.Setting with { Positions = setting.Positions }).Centre - wanted.Centre).Length;
                Assert.True(solution.Error <= other + Accuracy);
                Assert.True(solution.IsReached || solution.Reason!.Length > 10);
            }
        }, iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void Every_pose_lies_within_the_limits(string adapter) => Generator(adapter).Sample((back, spec, setting) =>
    {
        SensorPose pose = back.Pose(setting);
        Assert.InRange(pose.Centre.X, back.Limits.Left, back.Limits.Right);
        Assert.InRange(pose.Centre.Y, back.Limits.Top, back.Limits.Bottom);
        Assert.Contains(pose.Turn, back.Limits.Turns);
    }, iter: Specimens);

    [Theory]
    [MemberData(nameof(Adapters))]
    public void Turning_the_back_over_is_a_half_turn_about_the_seats_centre(string adapter) => Generator(adapter).Sample((back, spec, setting) =>
    {
        if (spec.Seats.Count < 2)
            return;
        SensorPose upright = back.Pose(setting with { BackTurned = false });
        SensorPose turned = back.Pose(setting with { BackTurned = true });
        SeatSpec seat = spec.Seats.Single(seat => seat.BackTurned);
        double uprightAngle = spec.Seats.Single(seat => !seat.BackTurned).Angle;
        Assert.True((upright.Centre + turned.Centre - 2 * seat.Centre).Length <= Accuracy);
        Assert.Equal(0, Angles.Wrap(turned.TotalRotation - upright.TotalRotation - 180 - seat.Angle + uprightAngle), Accuracy);
    }, iter: Specimens);

    private static Gen<(IBack, BackSpec, Setting)> Generator(string adapter) => BackGenerator.Any(adapter);

    private static bool IsLegal(AxisSpec axis, double position) =>
        axis.Detents.Count > 0 ? axis.Detents.Contains(position) : position >= axis.Minimum && position <= axis.Maximum;
}
