using Imbrex.Engine.Cards;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Tests.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Cards;

/// <summary>What the card tells to do for each frame.</summary>
public sealed class CardTables
{
    // Design, section 3: the worked example of a back turned over.
    [Fact]
    public void The_designs_example_of_a_turned_back_reads_as_it_looks_from_behind()
    {
        FieldCard card = FieldCard.Of(CardPlans.Example(), CardPlans.Rail(1).Verdict);
        Assert.Equal(["1", "t1", "22 / 34 upside down", "over", "to your left", "lower right"], card.Rows[0].Cells);
        Assert.StartsWith("Take the back off, turn it half round in its own plane (over), seat and lock it; turn the body on the slide: its top points to your left", card.Rows[0].Before, StringComparison.Ordinal);
        Assert.Equal("again", card.Rows[1].Cells[0]);
        Assert.Null(card.Rows[1].Before);
    }

    // The example's mosaic pose comes from the same kinematics as every plan's, so the picture and the table must agree on it.
    [Fact]
    public void The_example_is_what_the_back_does()
    {
        PlanDocument plan = CardPlans.Example();
        SensorPose pose = Tests.Planning.Kits.Build(plan.Kit!).Back.Pose(plan.Tiles[0].Setting!.ToSetting());
        Assert.Equal((-28.0, -9.0, Turn.ThreeQuarters), (pose.Centre.X, pose.Centre.Y, pose.Turn));
    }

    [Theory]
    [InlineData(0, 0, "up")]
    [InlineData(90, 0, "to your right")]
    [InlineData(180, 0.2, "down")]
    [InlineData(270, 0, "to your left")]
    [InlineData(0, -0.4, "up")]
    [InlineData(0, 30, "up, 30° clockwise")]
    [InlineData(270, 89.5, "up")]
    [InlineData(180, -40, "down, 40° anticlockwise")]
    public void The_bodys_top_follows_turn_and_rotation(int turn, double rotation, string words) =>
        Assert.Equal(words, Bearings.BodyTop(new(PlanePoint.Origin, Turns.FromDegrees(turn), rotation)));

    [Theory]
    [InlineData(0, 0, "middle")]
    [InlineData(27, 10, "upper left")]
    [InlineData(-27, 10, "upper right")]
    [InlineData(27, -10, "lower left")]
    [InlineData(0, -10, "lower middle")]
    [InlineData(40, 0, "left")]
    [InlineData(-13, 15, "upper inner right")]
    public void The_part_of_the_scene_is_the_other_way_round(double x, double y, string words) =>
        Assert.Equal(words, Bearings.ScenePart(new(x, y), new(90, 40)));

    [Theory]
    [InlineData("rising", 1, "from the smaller numbers", false)]
    [InlineData("falling", 1, "from the larger numbers", true)]
    [InlineData("rising", -1, "from the larger numbers", false)]
    [InlineData("falling", -1, "from the smaller numbers", true)]
    [InlineData("any", -1, null, false)]
    public void Stops_are_come_to_from_the_side_that_the_play_asks_for(string approach, int sign, string? words, bool wrongWhenRising)
    {
        var axis = new AxisPart { MinMm = -10, MaxMm = 10, ScaleZeroMm = 50, ScaleSign = sign, BacklashMm = 0.1, Approach = approach };
        Assert.Equal(words, ScaleReading.From(axis));
        Assert.Equal(wrongWhenRising, ScaleReading.FromWrongSide(axis, 0, 5));
        Assert.Equal(50 + sign * 5, ScaleReading.Of(axis, 5));
    }

    [Fact]
    public void A_stop_that_is_come_to_from_the_wrong_side_is_starred()
    {
        PlanDocument plan = CardPlans.Rail(3).Plan!;
        Assert.DoesNotContain(FieldCard.Of(plan, CardPlans.Rail(3).Verdict).Rows.SkipLast(1), row => row.Cells[2].Contains('*', StringComparison.Ordinal));
        FieldCard turned = FieldCard.Of(plan with { Tiles = [plan.Tiles[1], plan.Tiles[0], .. plan.Tiles.Skip(2)] }, CardPlans.Rail(3).Verdict);
        Assert.EndsWith("*", turned.Rows[1].Cells[2], StringComparison.Ordinal);
        Assert.StartsWith("*", turned.Footnote, StringComparison.Ordinal);
    }

    [Fact]
    public void Axes_are_called_by_what_they_do()
    {
        PlanResult cross = Planner.Plan(Kits.Cross("""
            "axes": [ { "minMm": -40, "maxMm": 40, "toleranceMm": 0, "backlashMm": 0.1, "approach": "rising" }, { "minMm": -20, "maxMm": 20, "toleranceMm": 0, "scaleSign": -1, "backlashMm": 0.1, "approach": "rising" } ]
            """).Plan(new(60, 40), 3));
        FieldCard card = FieldCard.Of(cross.Plan!, cross.Verdict);
        Assert.Contains("Dial in: x\u00a0/\u00a0y", card.Columns);
        Assert.Contains(card.Sections.SelectMany(section => section.Lines), line => line.Contains("x from the smaller numbers, y from the larger numbers", StringComparison.Ordinal));
        Assert.Contains("Dial in on the scale", FieldCard.Of(CardPlans.Rail(3).Plan!, CardPlans.Rail(3).Verdict).Columns);

        KitDocument turret = Kits.Parse("""
            { "schema": "imbrex/kit/1", "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
              "back": { "adapter": "turret", "angularToleranceDeg": 1, "axes": [ { "minDeg": -30, "maxDeg": 30, "toleranceMm": 0.1 } ] } }
            """);
        Assert.Equal(["arm"], AxisNames.Of(turret.Build().Back, new([0])));
    }

    [Fact]
    public void Axes_are_called_as_the_kit_calls_them()
    {
        PlanResult cross = Planner.Plan(Kits.Cross("""
            "axes": [ { "name": "lead screw", "minMm": -40, "maxMm": 40, "toleranceMm": 0, "backlashMm": 0.1, "approach": "rising" }, { "minMm": -20, "maxMm": 20, "toleranceMm": 0 } ]
            """).Plan(new(60, 40), 3));
        FieldCard card = FieldCard.Of(cross.Plan!, cross.Verdict);
        Assert.Contains("Dial in: lead screw\u00a0/\u00a0y", card.Columns);
        Assert.Contains(card.Sections.SelectMany(section => section.Lines), line => line.Contains("lead screw from the smaller numbers", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("""{ "name": "rail", "minMm": 0, "maxMm": 9 }, { "name": "Rail", "minMm": 0, "maxMm": 9 }""", "one name")]
    [InlineData("""{ "name": " rail", "minMm": 0, "maxMm": 9 }, { "minMm": 0, "maxMm": 9 }""", "no spaces around")]
    [InlineData("""{ "name": "the rail that was found in the attic", "minMm": 0, "maxMm": 9 }, { "minMm": 0, "maxMm": 9 }""", "1 to 16 letters")]
    public void A_name_that_does_not_serve_is_refused(string axes, string reason) =>
        Assert.Contains(reason, Assert.Throws<InputException>(() => Kits.Cross($"\"axes\": [ {axes} ]")).Message, StringComparison.Ordinal);

    [Fact]
    public void The_settling_time_is_the_pictures_and_counts_for_every_frame_but_the_first()
    {
        PlanResult usual = CardPlans.Rail(3, CardPlans.Picture), slow = CardPlans.Rail(3, CardPlans.Picture with { SettleSeconds = 8.5 });
        Assert.Contains(Lines(usual), line => line.StartsWith("Let it settle 5 seconds,", StringComparison.Ordinal));
        Assert.Contains(Lines(slow), line => line.StartsWith("Let it settle 8.5 seconds,", StringComparison.Ordinal));
        Assert.Equal(usual.Verdict.Exposure!.TakeSeconds + 5 * 3.5, slow.Verdict.Exposure!.TakeSeconds, 1e-9);

        static IEnumerable<string> Lines(PlanResult result) => FieldCard.Of(result.Plan!, result.Verdict).Sections.SelectMany(section => section.Lines);
    }

    [Fact]
    public void A_plan_without_settings_tells_where_the_sensor_goes()
    {
        PlanDocument plan = new()
        {
            Schema = PlanDocument.SchemaName,
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 },
            Format = new() { WidthMm = 60, HeightMm = 22 },
            Tiles = [new() { Id = "a", XMm = -13, YMm = 0 }, new() { Id = "b", XMm = 13.126, YMm = 0 }],
        };
        FieldCard card = FieldCard.Of(plan, CardPlans.Rail(1).Verdict);
        Assert.Equal(["Sensor at x, y mm", "-13, 0", "13.13, 0"], [card.Columns[2], card.Rows[0].Cells[2], card.Rows[1].Cells[2]]);
        Assert.Contains(card.Sections[0].Lines, line => line.StartsWith("Movements: rise ___", StringComparison.Ordinal));
    }

    [Fact]
    public void The_extreme_tiles_are_those_at_the_corners() => Assert.Equal([1, 3, 4, 6], CardWords.Extreme(CardPlans.Rail(3).Plan!));
}
