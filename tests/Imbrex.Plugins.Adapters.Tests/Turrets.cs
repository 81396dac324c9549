using System.Numerics;
using CsCheck;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>The turret's arc, in numbers that can be checked in the head and against the rotation of the complex plane.</summary>
public sealed class Turrets
{
    private static readonly AxisSpec Swing = new() { Minimum = -120, Maximum = 120, Tolerance = 0.1, IsPivot = true };

    // The pivot 60 mm below the axis, the arm 60 mm straight up: the sensor stands on the axis at 0 degrees.
    [Theory]
    [InlineData(0, 0, 0, 0, 0)]
    [InlineData(90, 60, 60, 90, 0)]
    [InlineData(-90, -60, 60, 270, 0)]
    [InlineData(30, 30, 8.038475772933680, 0, 30)]
    [InlineData(60, 51.96152422706632, 30, 90, -30)]
    public void The_sensor_goes_round_the_pivot_and_turns_with_the_arm(double angle, double x, double y, int turn, double rotation)
    {
        SensorPose pose = Build(Swing).Pose(new([angle]));
        Assert.Equal(x, pose.Centre.X, 1e-12);
        Assert.Equal(y, pose.Centre.Y, 1e-12);
        Assert.Equal(turn, pose.Turn.Degrees());
        Assert.Equal(rotation, pose.Rotation, 1e-12);
    }

    // However near to the pivot a place lies, it lies in some direction from it (a random specimen once found that the arm did not care within a thousandth of a micrometre).
    [Fact]
    public void A_hair_beside_the_pivot_the_arm_still_points_there()
    {
        IBack back = Build(Swing);
        SettingSolution solution = back.Solve(new(new(-8.4e-8, 60)))[0];
        double best = Enumerable.Range(-120, 241).Min(angle => (back.Pose(new([angle])).Centre - new PlanePoint(-8.4e-8, 60)).Length);
        Assert.True(solution.Error <= best + 1e-9);
    }

    // Turning the plane about c by the angle a takes z to c + (z - c) e^(ia): Needham, Visual Complex Analysis (1997), chapter 1,
    // 'Geometry through the eyes of complex arithmetic'; the formula from memory. With x right and y down a positive angle is clockwise.
    [Fact]
    public void The_arc_is_the_rotation_of_the_plane_about_the_pivot() => BackGenerator.Any("turret").Sample((back, spec, setting) =>
    {
        if (setting.BackTurned)
            return;
        TurnSpec turn = spec.Turns.Single(known => known.Turn == setting.CameraTurn);
        SeatSpec seat = spec.Seats.Single(known => !known.BackTurned);
        Complex zero = new(seat.Centre.X, seat.Centre.Y), pivot = new(spec.Parameters["pivot-x"], spec.Parameters["pivot-y"]);
        var start = new Complex(spec.Parameters["arm-x"] + turn.Offset.X, spec.Parameters["arm-y"] + turn.Offset.Y) + pivot;
        double angle = setting.Positions[0] * Math.PI / 180;
        Complex there = zero + pivot + (start - pivot) * Complex.FromPolarCoordinates(1, angle);
        SensorPose pose = back.Pose(setting);
        Assert.Equal(there.Real, pose.Centre.X, 1e-9);
        Assert.Equal(there.Imaginary, pose.Centre.Y, 1e-9);
        Assert.Equal(0, Angles.Wrap(pose.TotalRotation - setting.Positions[0] - turn.Turn.Degrees() - turn.Error - seat.Angle), 1e-9);
        Assert.InRange(pose.Rotation, -45, 45);
    });

    [Theory]
    [InlineData(0, 10, "the place lies 50 mm from the pivot and the arm is 60 mm long")]
    [InlineData(10.418890660015825, 119.08846518073248, "the arm would have to stand at 170 degrees and ends at 120")]
    public void What_the_arm_does_not_reach_says_why(double x, double y, string reason)
    {
        SettingSolution nearest = Build(Swing).Solve(new(new(x, y)))[0];
        Assert.False(nearest.IsReached);
        Assert.Contains(reason, nearest.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_place_on_the_arc_is_reached_with_the_arms_own_rotation_only()
    {
        IBack back = Build(Swing);
        PlanePoint place = back.Pose(new([30])).Centre;
        Assert.True(back.Solve(new(place, Turn.None, 30))[0].IsReached);
        SettingSolution level = back.Solve(new(place))[0];
        Assert.Equal(30, level.Setting.Positions[0], 1e-9);
        Assert.Contains("the sensor is turned by 30 degrees there and would have to be turned by 0", level.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Between_two_stops_the_nearer_one_on_the_circle_is_taken()
    {
        IBack back = Build(Swing with { Minimum = -170, Maximum = 170, Detents = [-170, 0, 100] });
        Assert.Equal([-170.0], back.Solve(back.Pose(new([160])))[0].Setting.Positions);
        Assert.Contains("the nearest stop is 100", back.Solve(back.Pose(new([90])))[0].Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Travel_is_the_path_of_the_sensor()
    {
        MoveCost cost = Build(Swing).Cost(new([-30]), new([60]));
        Assert.Equal(Math.PI / 2 * 60, cost.Travel, 1e-9);
    }

    [Fact]
    public void Limits_hold_the_top_of_the_arc_and_the_turns_that_it_brings()
    {
        BackLimits(Build(Swing with { Minimum = -50, Maximum = 50, Tolerance = 0 }), out PlanePoint lowest, out PlanePoint highest, out IReadOnlyList<Turn> turns);
        Assert.Equal(-60 * Math.Sin(50 * Math.PI / 180), lowest.X, 1e-9);
        Assert.Equal(0, lowest.Y, 1e-9);
        Assert.Equal(60 - 60 * Math.Cos(50 * Math.PI / 180), highest.Y, 1e-9);
        Assert.Equal([Turn.None, Turn.Quarter, Turn.ThreeQuarters], turns);
    }

    [Fact]
    public void An_arm_needs_degrees_a_length_and_a_tolerance_that_agrees()
    {
        Assert.Contains("gives it in mm", Assert.Throws<InputException>(() => Build(Swing with { IsPivot = false })).Message, StringComparison.Ordinal);
        Assert.Contains("0 mm long", Assert.Throws<InputException>(() => Build(Swing, arm: 0)).Message, StringComparison.Ordinal);
        Assert.Contains("turns the sensor by 0.955 degrees", Assert.Throws<InputException>(() => Build(Swing with { Tolerance = 1 })).Message, StringComparison.Ordinal);
        Assert.Contains("more than a whole turn", Assert.Throws<InputException>(() => Build(Swing with { Minimum = -200, Maximum = 200 })).Message, StringComparison.Ordinal);
    }

    private static void BackLimits(IBack back, out PlanePoint lowest, out PlanePoint highest, out IReadOnlyList<Turn> turns) =>
        (lowest, highest, turns) = (new(back.Limits.Left, back.Limits.Top), new(back.Limits.Right, back.Limits.Bottom), back.Limits.Turns);

    private static IBack Build(AxisSpec swing, double arm = -60) => new Turret().Build(new()
    {
        Axes = [swing],
        AngularTolerance = 0.3,
        Parameters = ParameterValues.Bind(new Turret().Description.Parameters, new Dictionary<string, string> { ["arm-y"] = arm.ToString("R", System.Globalization.CultureInfo.InvariantCulture) }),
    });
}
