using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>Worked examples, in numbers that can be checked in the head.</summary>
public sealed class Examples
{
    private static readonly AxisSpec Across = new() { Minimum = -40, Maximum = 40, Tolerance = 0.1 };
    private static readonly AxisSpec Down = new() { Minimum = -20, Maximum = 20 };

    // The example of the project's axes: setting (28, 9), turn 90, c = 0, back over.
    [Fact]
    public void Setting_28_9_at_turn_90_with_the_back_over_stands_at_minus_28_minus_9_turn_270()
    {
        SensorPose pose = Cross().Pose(new([28, 9], Turn.Quarter, BackTurned: true));
        Assert.Equal(new SensorPose(new(-28, -9), Turn.ThreeQuarters), pose);
    }

    [Fact]
    public void Faults_of_a_turn_apply_before_the_back_is_turned_over()
    {
        var spec = new BackSpec
        {
            Axes = [Across, Down],
            Turns = [new(Turn.Quarter, new(0.3, -0.2), 0.05)],
            Seats = [new(false), new(true, new(0.1, 0.4), 0.02)],
        };
        SensorPose pose = new CrossSlide().Build(spec).Pose(new([28, 9], Turn.Quarter, BackTurned: true));
        Assert.Equal(0.2 - 28.3, pose.Centre.X, 1e-12);
        Assert.Equal(0.8 - 8.8, pose.Centre.Y, 1e-12);
        Assert.Equal(Turn.ThreeQuarters, pose.Turn);
        Assert.Equal(0.07, pose.Rotation, 1e-12);
    }

    [Fact]
    public void A_rail_reaches_its_second_row_by_turning_over()
    {
        IBack back = RailAt(9, Across);
        SettingSolution solution = back.Solve(new(new(-27, -9), Turn.Half))[0];
        Assert.True(solution.IsReached);
        Assert.Equal(new Setting([27], Turn.None, BackTurned: true), solution.Setting);
        Assert.Equal((-40.1, -9.1, 40.1, 9.1), (back.Limits.Left, back.Limits.Top, back.Limits.Right, back.Limits.Bottom));
        Assert.Equal([Turn.None, Turn.Half], back.Limits.Turns);
    }

    [Theory]
    [InlineData(50, 9, 0, "x would have to be 50 mm and ends at 40 mm")]
    [InlineData(-50, 9, 0, "x would have to be -50 mm and begins at -40 mm")]
    [InlineData(10, 4, 0, "y is fixed at 9 mm and would have to be 4 mm")]
    [InlineData(10, 9, 90, "the body would have to be turned by 90 degrees and the back offers 0")]
    public void What_is_out_of_reach_says_why(double x, double y, int turn, string reason)
    {
        SettingSolution nearest = RailAt(9, Across).Solve(new(new(x, y), Turns.FromDegrees(turn)))[0];
        Assert.False(nearest.IsReached);
        Assert.Contains(reason, string.Join("; ", RailAt(9, Across).Solve(new(new(x, y), Turns.FromDegrees(turn))).Select(s => s.Reason)), StringComparison.Ordinal);
    }

    [Fact]
    public void Between_detents_the_nearest_stop_is_named()
    {
        IBack back = RailAt(0, Across with { Detents = [-30, -10, 10, 30] });
        SettingSolution nearest = back.Solve(new(new(13, 0)))[0];
        Assert.False(nearest.IsReached);
        Assert.Equal(10, nearest.Setting.Positions[0]);
        Assert.Equal(3, nearest.Error, 1e-12);
        Assert.Contains("x would have to be 13 mm and the nearest stop is 10 mm", nearest.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_miss_within_the_tolerance_of_the_axis_counts_as_reached_and_the_pose_says_where()
    {
        SettingSolution solution = RailAt(0, Across with { Detents = [-27.04, 0, 26.95] }).Solve(new(new(27, 0)))[0];
        Assert.True(solution.IsReached);
        Assert.Equal(26.95, solution.Pose.Centre.X, 1e-12);
        Assert.Equal(0.05, solution.Error, 1e-12);
    }

    [Fact]
    public void Cost_counts_turns_travel_and_the_run_past_a_stop_on_the_wrong_side()
    {
        var spec = new BackSpec
        {
            Axes = [Across with { Backlash = 0.5, Approach = Approach.Rising }, Down],
            Turns = [new(Turn.None), new(Turn.Quarter)],
            Seats = [new(false), new(true)],
        };
        IBack back = new CrossSlide().Build(spec);
        Assert.Equal(new MoveCost(0, 0, 17), back.Cost(new([0, 0]), new([10, 7])));
        Assert.Equal(new MoveCost(0, 0, 18), back.Cost(new([10, 0]), new([0, 7])));
        Assert.Equal(new MoveCost(1, 1, 0), back.Cost(new([10, 0]), new([10, 0], Turn.Quarter, true)));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    public void A_rail_has_one_axis(int axes)
    {
        var spec = new BackSpec { Axes = [.. Enumerable.Repeat(Across, axes)] };
        InputException fault = Assert.Throws<InputException>(() => new Rail().Build(spec));
        Assert.Contains("1 axis", fault.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_setting_of_another_back_is_a_programmers_mistake()
    {
        IBack back = Cross();
        Assert.Throws<ArgumentException>(() => back.Pose(new([1])));
        Assert.Throws<ArgumentException>(() => back.Pose(new([1, 2], Turn.Half)));
    }

    // A body held 8 mm to the right of the axis about which it turns: upright it stands at (8, 0), a quarter turned at (0, 8).
    [Fact]
    public void An_offset_mount_moves_the_slide_so_that_the_sensor_stands_where_it_is_wanted()
    {
        IBack back = new CrossSlide().Build(new()
        {
            Axes = [Across, Down],
            Turns = [new(Turn.None, new(8, 0)), new(Turn.Quarter, new(0, 8))],
            Seats = [new(false), new(true)],
        });
        Assert.Equal(new SensorPose(new(18, 5)), back.Pose(new([10, 5])));
        Assert.Equal(new SensorPose(new(10, 13), Turn.Quarter), back.Pose(new([10, 5], Turn.Quarter)));
        Assert.Equal(new Setting([10, 5], Turn.Quarter), back.Solve(new(new(10, 13), Turn.Quarter))[0].Setting);
        Assert.Equal(new Setting([-10, -5], Turn.None, BackTurned: true), back.Solve(new(new(2, 5), Turn.Half))[0].Setting);
    }

    [Fact]
    public void An_offset_by_design_is_no_play()
    {
        var rail = new Rail();
        IBack back = rail.Build(new() { Axes = [Across], Turns = [new(Turn.None, new(0, 8))] });
        SettingSolution wanted = back.Solve(new(new(10, 0)))[0];
        Assert.False(wanted.IsReached);
        Assert.Equal(8, wanted.Error, 1e-12);
        Assert.True(back.Solve(new(new(10, 8)))[0].IsReached);
    }

    [Theory]
    [InlineData(35, -9, "x on the upper rail would have to be 35 mm and ends at 30 mm")]
    [InlineData(35, 11, null)]
    [InlineData(0, 3, "y would have to be 3 mm and the lower rail lies at 11 mm")]
    public void Two_rails_have_their_own_travel(double x, double y, string? reason)
    {
        var rails = new DoubleRail();
        IBack back = rails.Build(new()
        {
            Axes = [Across, Down with { Detents = [-9, 11] }],
            Parameters = ParameterValues.Bind(rails.Description.Parameters, new Dictionary<string, string> { ["upper-from"] = "-30", ["upper-to"] = "30" }),
        });
        SettingSolution nearest = back.Solve(new(new(x, y)))[0];
        Assert.Equal(reason is null, nearest.IsReached);
        Assert.Contains(reason ?? "", nearest.Reason ?? "", StringComparison.Ordinal);
    }

    [Fact]
    public void Two_rails_need_two_heights_and_a_stop_on_each()
    {
        var rails = new DoubleRail();
        Assert.Contains("has 0 detents", Assert.Throws<InputException>(() => rails.Build(new() { Axes = [Across, Down] })).Message, StringComparison.Ordinal);
        var spec = new BackSpec
        {
            Axes = [Across with { Detents = [-20, 20] }, Down with { Detents = [-9, 11] }],
            Parameters = ParameterValues.Bind(rails.Description.Parameters, new Dictionary<string, string> { ["lower-from"] = "-10", ["lower-to"] = "10" }),
        };
        Assert.Contains("No stop of the travel lies on the lower rail", Assert.Throws<InputException>(() => rails.Build(spec)).Message, StringComparison.Ordinal);
    }

    // A seat's play comes on top of the axis's; across the rail, where nothing moves, it is all there is.
    [Fact]
    public void Each_direction_misses_by_what_moves_it()
    {
        AxisSpec loose = Down with { Tolerance = 0.3 };
        SeatSpec[] seats = [new(false), new(true, Tolerance: 0.25)];
        Assert.Equal(new(0.1, 0.3), new CrossSlide().Build(new() { Axes = [Across, loose] }).PositionTolerance);
        Assert.Equal(new(0.1, 0.1), new Rail().Build(new() { Axes = [Across] }).PositionTolerance);
        Assert.Equal(new(0.35, 0.25), new Rail().Build(new() { Axes = [Across], Seats = seats }).PositionTolerance);
        Assert.Equal(new(0.35, 0.55), new CrossSlide().Build(new() { Axes = [Across, loose], Seats = seats }).PositionTolerance);
        Assert.Equal(new(0.1, 0.1), new Turret().Build(new() { Axes = [Across with { IsPivot = true }], AngularTolerance = 1 }).PositionTolerance);
        Assert.Throws<InputException>(() => new Rail().Build(new() { Axes = [Across], Seats = [new(false, Tolerance: -1)] }));
    }

    private static IBack Cross() => new CrossSlide().Build(new()
    {
        Axes = [Across, Down],
        Turns = [new(Turn.None), new(Turn.Quarter)],
        Seats = [new(false), new(true)],
    });

    private static IBack RailAt(double row, AxisSpec axis)
    {
        var rail = new Rail();
        return rail.Build(new()
        {
            Axes = [axis],
            Seats = [new(false), new(true)],
            Parameters = ParameterValues.Bind(rail.Description.Parameters, new Dictionary<string, string> { ["row-offset"] = row.ToString("R") }),
        });
    }
}
