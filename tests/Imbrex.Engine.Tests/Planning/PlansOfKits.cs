using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Plugins.Layouts;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>From a kit's JSON to a plan and a verdict.</summary>
public sealed class PlansOfKits
{
    private static readonly (string, string)[] ThreeByTwo = [("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20")];

    [Fact]
    public void A_rail_shoots_its_second_row_with_the_back_turned_over_once()
    {
        PlanResult result = Planner.Plan(Kits.Rail().Plan(new(90, 44), 4, ThreeByTwo));
        Assert.True(result.Verdict.Accepted, result.Verdict.Summary);
        Assert.Equal((1, 0, 0, 108.0), (result.Verdict.Handling!.BackTurns, result.Verdict.Handling.CameraTurns, result.Verdict.Handling.Overshoots, result.Verdict.Handling.TravelMm));
        Assert.Equal([false, false, false, true, true, true], result.Plan!.Tiles.Select(tile => tile.BackTurned is true));
        Assert.All(result.Plan.Tiles, tile => Assert.Equal(tile.BackTurned is true ? 180 : 0, tile.TurnDeg));
        Assert.All(result.Plan.Tiles, tile => Assert.Equal(tile.BackTurned is true ? -tile.XMm : tile.XMm, tile.Setting!.Positions[0]));
        Assert.Contains(result.Verdict.Notes, note => note.Contains("t1", StringComparison.Ordinal) && note.Contains("other way up", StringComparison.Ordinal));
    }

    [Fact]
    public void A_plan_survives_its_file_and_is_accepted_again()
    {
        KitDocument kit = Kits.Rail(seats: "{ \"state\": \"upright\" }, { \"state\": \"turned\", \"centreMm\": [0.1, -0.05], \"angleDeg\": 0.1 }");
        PlanResult result = Planner.Plan(kit.Plan(new(88, 42), 3, ThreeByTwo));
        Assert.True(result.Verdict.Accepted, result.Verdict.Summary);
        PlanDocument plan = JsonDocuments.Parse<PlanDocument>(JsonDocuments.ToBytes(result.Plan!), PlanDocument.SchemaName, "plan.json");
        VerdictDocument again = AcceptanceCheck.Judge(CheckRequest.For(plan, plan.Kit!.Build().Back));
        Assert.True(again.Accepted, again.Summary);
        TilePart turned = plan.Tiles.First(tile => tile.BackTurned is true);
        Assert.Equal(0.1, turned.RotationDeg!.Value, 1e-12);
        Assert.Equal(-10.1, turned.YMm, 1e-12);
    }

    [Fact]
    public void A_camera_that_cannot_turn_its_back_over_refuses_the_second_row_and_says_so()
    {
        PlanResult result = Planner.Plan(Kits.Rail(backTurns: false).Plan(new(90, 44), 4, ThreeByTwo) with
        {
            Layout = new Kits.Fixed(new Tile(new(new(-13, 10))), new Tile(new(new(13, 10))), new Tile(new(new(0, -10)), "upper")),
            Parameters = null,
        });
        Assert.False(result.Verdict.Accepted);
        FailurePart reach = Assert.Single(result.Verdict.Failures, failure => failure.Rule == "reach");
        Assert.Equal(["upper"], reach.Tiles);
        Assert.Contains("this camera cannot turn its back over, which would reach it", reach.Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_tile_outside_the_travel_is_refused_with_both_numbers()
    {
        PlanResult result = Planner.Plan(Kits.Rail().Plan(new(90, 24), 4) with { Layout = new Kits.Fixed(new Tile(new(new(55, 10)), "far")) });
        FailurePart reach = Assert.Single(result.Verdict.Failures, failure => failure.Rule == "reach");
        Assert.Contains("Tile far at (55, 10) mm is out of reach", reach.Text, StringComparison.Ordinal);
        Assert.Contains("x would have to be 55 mm and ends at 40 mm", reach.Text, StringComparison.Ordinal);
        Assert.Null(result.Plan!.Tiles.Single().Setting);
    }

    [Fact]
    public void A_layout_that_refuses_gives_a_verdict_and_no_plan()
    {
        PlanResult result = Planner.Plan(Kits.Rail().Plan(new(150, 44), 4));
        Assert.Null(result.Plan);
        Assert.False(result.Verdict.Accepted);
        Assert.Equal("layout", Assert.Single(result.Verdict.Failures).Rule);
        Assert.NotEmpty(result.Verdict.Remedies);
    }

    [Fact]
    public void With_a_sensor_alone_reach_is_skipped_and_said_so()
    {
        PlanResult result = Planner.Plan(new()
        {
            Layout = new RegularGrid(),
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 6000, HeightPx = 4000 },
            Format = new(90, 44),
        });
        Assert.True(result.Verdict.Accepted, result.Verdict.Summary);
        Assert.Equal((0.5, 0.5), (result.Verdict.ToleranceMm, result.Verdict.AngularToleranceDeg));
        Assert.Equal(RulePart.Skipped, result.Verdict.Rules.Single(rule => rule.Rule == "reach").Outcome);
        Assert.Null(result.Verdict.Handling);
    }

    [Fact]
    public void Missing_tolerances_are_assumed_and_said()
    {
        KitDocument kit = Kits.Parse("""
            { "schema": "imbrex/kit/1", "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
              "back": { "adapter": "cross-slide", "axes": [ { "minMm": -40, "maxMm": 40 }, { "minMm": -20, "maxMm": 20, "toleranceMm": 0.2 } ] } }
            """);
        BuiltBack built = kit.Build();
        Assert.Equal((new PlaneTolerance(0.5, 0.2), 0.5), (built.Back.PositionTolerance, built.Back.AngularTolerance));
        Assert.Equal(2, built.Notes.Count);
    }

    // 3 x 2 tiles 27 and 20 mm apart share 9 and 4 mm: 4 mm of overlap leave 2.5 mm of play each side across, and none up and down.
    [Theory]
    [InlineData(2.4, 0, true)]
    [InlineData(0, 2.4, false)]
    [InlineData(2.6, 0, false)]
    public void Each_axis_has_its_own_tolerance(double across, double down, bool accepted)
    {
        KitDocument kit = Kits.Cross(FormattableString.Invariant($$"""
            "axes": [ { "minMm": -40, "maxMm": 40, "toleranceMm": {{across}} }, { "minMm": -20, "maxMm": 20, "toleranceMm": {{down}} } ]
            """));
        PlanResult result = Planner.Plan(kit.Plan(new(85, 44), 4, ThreeByTwo));
        Assert.Equal(accepted, result.Verdict.Accepted);
        Assert.Equal([across, down], result.Verdict.ToleranceAlongMm);
        Assert.Equal(Math.Max(across, down), result.Verdict.ToleranceMm);
        Assert.Equal(new Margins(new(across, down), 0), Margins.Of(kit.Back));
        if (!accepted)
            Assert.Contains(FormattableString.Invariant($"{across} mm across, {down} mm down"), result.Verdict.Summary, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"parameters\": { \"row-ofset\": 9 }", "row-ofset", "row-offset")]
    [InlineData("\"parameters\": { \"row-offset\": true }", "yes", "number")]
    public void A_wrong_parameter_of_the_adapter_is_named(string parameters, string named, string remedy)
    {
        KitDocument kit = Kits.Parse($$"""
            { "schema": "imbrex/kit/1", "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
              "back": { "adapter": "rail", {{parameters}}, "axes": [ { "minMm": -40, "maxMm": 40 } ] } }
            """);
        InputException fault = Assert.Throws<InputException>(kit.Build);
        Assert.Contains(named, fault.Message, StringComparison.Ordinal);
        Assert.Contains(remedy, fault.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void Detents_are_kept_to()
    {
        KitDocument kit = Kits.Rail(axis: "\"minMm\": -40, \"maxMm\": 40, \"detentsMm\": [-27, 0, 27]");
        Assert.True(Planner.Plan(kit.Plan(new(90, 44), 4, ThreeByTwo)).Verdict.Accepted);
        VerdictDocument between = Planner.Plan(kit.Plan(new(86, 44), 4)).Verdict;
        Assert.Contains(between.Failures, failure => failure.Rule == "reach" && failure.Text.Contains("the nearest stop is 27 mm", StringComparison.Ordinal));
    }

    [Fact]
    public void A_plan_whose_turn_is_half_a_turn_off_is_refused_and_told_the_turn()
    {
        PlanDocument plan = new()
        {
            Schema = PlanDocument.SchemaName,
            Kit = Kits.Rail(),
            Format = new() { WidthMm = 30, HeightMm = 3 },
            Tiles = [new() { Id = "t1", XMm = 5, YMm = -10 }],
        };
        VerdictDocument verdict = AcceptanceCheck.Judge(CheckRequest.For(plan, plan.Kit.Build().Back));
        Assert.Contains("with turnDeg 180 it is within reach", Assert.Single(verdict.Failures, failure => failure.Rule == "reach").Text, StringComparison.Ordinal);
    }

    // The rail has two rows, 20 mm apart, and stops every 15 mm: the computed grid misses both, and the one at those steps does.
    [Fact]
    public void Where_the_computed_grid_misses_the_stops_a_grid_at_the_stops_is_offered()
    {
        KitDocument kit = Kits.Rail(axis: "\"minMm\": -34, \"maxMm\": 34, \"detentsMm\": [-30, -15, 0, 15, 30]");
        VerdictDocument refused = Planner.Plan(kit.Plan(new(64, 40), 2.5)).Verdict;
        Assert.Contains(refused.Failures, failure => failure.Rule == "reach");
        RemedyPart grid = Assert.Single(refused.Remedies, remedy => remedy.Kind == "layout");
        Assert.Contains("2 x 2 = 4 frames does, step-x 30 mm, step-y 20 mm", grid.Text, StringComparison.Ordinal);
        PlanResult again = Planner.Plan(kit.Plan(new(64, 40), 2.5) with { Parameters = grid.Layout!.Parameters });
        Assert.True(again.Verdict.Accepted, again.Verdict.Summary);
    }

    [Theory]
    [InlineData(double.NaN, 44, 4)]
    [InlineData(90, -1, 4)]
    [InlineData(90, 44, -1)]
    [InlineData(90, 44, double.NaN)]
    public void Numbers_that_make_no_sense_are_bad_input(double width, double height, double overlap) =>
        Assert.Throws<InputException>(() => Planner.Plan(Kits.Rail().Plan(new(width, height), overlap)));

    [Fact]
    public void A_layout_that_places_nonsense_is_named()
    {
        PlanRequest request = Kits.Rail().Plan(new(90, 44), 4);
        Assert.Throws<InputException>(() => Planner.Plan(request with { Layout = new Kits.Fixed() }));
        Assert.Throws<InputException>(() => Planner.Plan(request with { Layout = new Kits.Fixed(new Tile(new(new(double.NaN, 0)))) }));
        Assert.Throws<InputException>(() => Planner.Plan(request with { Layout = new Kits.Fixed(new Tile(default, "a"), new Tile(default, "a")) }));
    }
}
