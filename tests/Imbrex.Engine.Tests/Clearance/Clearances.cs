using CsCheck;
using Imbrex.Engine.Clearance;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Tests.Planning;
using Imbrex.Plugins.Layouts;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Clearance;

/// <summary>Body against back in numbers that can be checked in the head: sensor 36 x 24 on a cross slide, plate as a frame around it.</summary>
public sealed class Clearances
{
    // A square grip of 40 mm about the sensor, from the mount back by 10: its corner goes round at 28.284.
    private const string Grip = "\"outline\": [ { \"name\": \"grip\", \"ringsMm\": [[[-20,-20],[20,-20],[20,20],[-20,20]]], \"fromDepthMm\": -4, \"toDepthMm\": 10 } ]";

    // A frame with a round hole's worth of room: a square hole of half-width h, 12 mm deep from the datum.
    private static string Plate(double h, string to = "12") => FormattableString.Invariant(
        $$"""{ "name": "plate", "ringsMm": [[[-90,-90],[90,-90],[90,90],[-90,90]],[[-{{h}},-{{h}}],[{{h}},-{{h}}],[{{h}},{{h}}],[-{{h}},{{h}}]]], "fromDepthMm": 0, "toDepthMm": {{to}} }""");

    private const string Post = """{ "name": "post", "ringsMm": [[[-5,-3],[5,-3],[5,3],[-5,3]]], "fromDepthMm": 0, "toDepthMm": 12 }""";

    // Level, 12 mm high; between two rails 80 mm apart it goes up and down by 34 mm, stood upright by nothing.
    private const string Flat = "\"outline\": [ { \"name\": \"grip\", \"ringsMm\": [[[-45,-6],[45,-6],[45,6],[-45,6]]], \"fromDepthMm\": -4, \"toDepthMm\": 10 } ]";
    private const string Slot = """
        { "name": "upper rail", "ringsMm": [[[-120,-60],[120,-60],[120,-40],[-120,-40]]], "fromDepthMm": 0, "toDepthMm": 12 },
        { "name": "lower rail", "ringsMm": [[[-120,40],[120,40],[120,60],[-120,60]]], "fromDepthMm": 0, "toDepthMm": 12 }
        """;

    private static readonly Setting Middle = new([0, 0]);

    [Fact]
    public void Turned_a_quarter_the_grip_runs_into_the_plate_by_half_its_diagonal_less_the_hole()
    {
        VerdictDocument verdict = Judge(Kit(Plate(25)), Middle, Middle with { CameraTurn = Turn.Quarter });
        FailurePart[] failures = Of(verdict);
        FailurePart failure = Assert.Single(failures);
        Assert.Equal(20 * Math.Sqrt(2) - 25, failure.InterferenceMm!.Value, 0.01);
        Assert.Equal(["t1", "t2"], failure.Tiles);
        Assert.StartsWith("Between tiles t1 and t2, while the body is turned from 0 to 90 degrees set to 0 mm / 0 mm, the grip runs 3.28 mm into the plate", failure.Text, StringComparison.Ordinal);
        Assert.Equal(RulePart.Failed, verdict.Rules.Single(rule => rule.Rule == ClearanceRule.Name).Outcome);

        // The grip begins 4 mm before the mount: clear of a plate of 12 mm from 16 mm on.
        Assert.Equal(16, failure.FreeFromDepthMm!.Value, 1e-9);
        Assert.Contains(verdict.Remedies, remedy => remedy.Kind == ClearanceRule.Name && remedy.Text.Contains("16 mm behind the film datum, 6 mm deeper than now", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(28.3, true)]
    [InlineData(28.2, false)]
    public void The_hole_must_hold_the_circle_of_the_corners(double hole, bool clear) =>
        Assert.Equal(clear, Of(Judge(Kit(Plate(hole)), Middle, Middle with { CameraTurn = Turn.Quarter })).Length == 0);

    [Fact]
    public void A_mount_that_is_deep_enough_clears()
    {
        VerdictDocument verdict = Judge(Kit(Plate(25), depth: "16"), Middle, Middle with { CameraTurn = Turn.Quarter });
        Assert.Empty(Of(verdict));
        Assert.Empty(verdict.Clearance!.Cautions);
    }

    // Hole of 25, grip of 20: 5 mm of play across; at 7 mm it reaches 2 mm into the plate.
    [Fact]
    public void A_setting_in_which_the_grip_reaches_into_the_plate_says_by_how_much()
    {
        VerdictDocument verdict = Judge(Kit(Plate(25)), new Setting([7, 0]));
        FailurePart failure = Assert.Single(Of(verdict));
        Assert.Equal(2, failure.InterferenceMm!.Value, 0.001);
        Assert.StartsWith("At tile t1, set to 7 mm / 0 mm, the grip runs 2 mm into the plate", failure.Text, StringComparison.Ordinal);
        Assert.Equal(2 * 40, failure.AreaMm2!.Value, 1e-3);
        Assert.Equal(2, Judge(Kit(Plate(25)), new Setting([3, 0])).Clearance!.TightestGapMm!.Value, 1e-3);
    }

    // From (-30, 0) to (0, 25) the post at (-30, 25) is in the way of one order of the axes and not of the other.
    [Fact]
    public void Where_one_order_of_the_axes_collides_the_other_is_told()
    {
        VerdictDocument verdict = Judge(Kit(Post), new([-35, 0]), new Setting([0, 34]));
        Assert.Empty(Of(verdict));
        CautionPart caution = Assert.Single(verdict.Clearance!.Cautions);
        Assert.Equal("From tile t1 to t2 move y before x: otherwise parts collide.", caution.Text);
        Assert.Contains(caution.Text, verdict.Notes);
        Assert.Single(Of(Judge(Kit(Post), new([-35, 0]), new Setting([35, 0]))));
    }

    // From the left to the right the post is in the way, from the left to the upper right it is not if the slide goes up first: 70 + 34 mm collide, 104 + 34 do not.
    [Fact]
    public void An_order_of_as_few_turns_in_which_nothing_collides_is_preferred()
    {
        PlanRequest request = Kit(Post).Plan(new(20, 20), 1) with
        {
            Layout = new Kits.Fixed(new Tile(new(new(-35, 0)), "left"), new Tile(new(new(35, 0)), "right"), new Tile(new(new(35, 34)), "up")),
        };
        PlanResult careful = Planner.Plan(request);
        Assert.Empty(Of(careful.Verdict));
        Assert.Equal("up", careful.Plan!.Tiles[1].Id);
        Assert.Equal(138, careful.Verdict.Handling!.TravelMm, 1e-9);
        PlanResult free = Planner.Plan(request with { Kit = Kit() });
        Assert.Equal(104, free.Verdict.Handling!.TravelMm, 1e-9);
    }

    [Fact]
    public void No_order_of_a_few_settings_collides_less()
    {
        KitDocument kit = Kit(Post + ", " + Plate(60));
        CheckRequest request = Request(kit);
        var moves = new Moves(request.Back!, Clashes.Of(request, 10));
        int clashes = 0;
        Gen.Select(Gen.Int[-1, 1], Gen.Int[-1, 1], Gen.Bool, (x, y, turned) => new Setting([34.0 * x, 30.0 * y], turned ? Turn.Quarter : Turn.None)).Array[2, 5].Sample(settings =>
        {
            Handling best = OrderOfShots.Permutations([.. settings]).Select(moves.Of).Min();
            Assert.Equal(0, moves.Of(ExactOrder.Find(settings, moves).Select(i => settings[i])).CompareTo(best));
            clashes += best.Collisions;
        }, iter: 60, threads: 1);
        Assert.True(clashes > 0);
    }

    // Upright the grip is too high for the plate's hole: mixed turns would need fewer frames, and level ones clear.
    [Fact]
    public void The_fewest_frames_are_sought_among_what_clears()
    {
        PlaneSize format = new(100, 75);
        PlanResult free = Planner.Plan(Kit().Plan(format, 3) with { Layout = new FewestFrames() });
        PlanResult careful = Planner.Plan(Kit(Slot, body: Flat).Plan(format, 3) with { Layout = new FewestFrames() });
        Assert.True(free.Verdict.Accepted, free.Verdict.Summary);
        Assert.True(careful.Verdict.Accepted, careful.Verdict.Summary);
        Assert.Contains(free.Plan!.Tiles, tile => tile.TurnDeg is 90);
        Assert.All(careful.Plan!.Tiles, tile => Assert.Equal(0, tile.TurnDeg % 180));
        Assert.True(free.Plan.Tiles.Count < careful.Plan.Tiles.Count);
        Assert.Contains(careful.Verdict.Notes, note => note.Contains("not proven", StringComparison.Ordinal));
    }

    // The body can only be turned where there is room: at the second tile's place.
    [Fact]
    public void Where_the_body_cannot_be_turned_before_the_slides_are_set_it_is_turned_afterwards()
    {
        const string Wall = """{ "name": "wall", "ringsMm": [[[22,-90],[40,-90],[40,90],[22,90]]] }""";
        VerdictDocument verdict = Judge(Kit(Wall), Middle, new([-10, 0], Turn.Quarter));
        Assert.Empty(Of(verdict));
        Assert.Equal("From tile t1 to t2 set the slides before you turn the body: otherwise parts collide.", Assert.Single(verdict.Clearance!.Cautions).Text);
        FailurePart both = Assert.Single(Of(Judge(Kit(Wall), Middle, Middle with { CameraTurn = Turn.Quarter })));
        Assert.Equal(20 * Math.Sqrt(2) - 22, both.InterferenceMm!.Value, 0.01);
        Assert.Contains("no depth of the mount frees them", both.Text, StringComparison.Ordinal);
    }

    // A handle on the body's right swings down on its way to 90 degrees, where a stop is in the way; the longer way over the top is free.
    [Fact]
    public void Where_the_shorter_way_round_is_barred_the_longer_is_told()
    {
        KitDocument kit = Kit("""{ "name": "stop", "ringsMm": [[[17,17],[24,17],[24,24],[17,24]]], "fromDepthMm": 0, "toDepthMm": 12 }""",
            body: "\"outline\": [ { \"name\": \"handle\", \"ringsMm\": [[[22,-3],[34,-3],[34,3],[22,3]]], \"fromDepthMm\": -4, \"toDepthMm\": 10 } ]");
        VerdictDocument verdict = Judge(kit, Middle, Middle with { CameraTurn = Turn.Quarter });
        Assert.Empty(Of(verdict));
        Assert.Contains("turn the body the longer way round", Assert.Single(verdict.Clearance!.Cautions).Text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_bracket_goes_with_the_body_and_does_not_turn_with_it()
    {
        const string Bracket = """{ "name": "bracket", "ringsMm": [[[-10,24],[10,24],[10,30],[-10,30]]], "movesWith": "carriage", "fromDepthMm": 0, "toDepthMm": 30 }""";
        Assert.Empty(Of(Judge(Kit(Bracket), Middle, new([30, 30]))));
        FailurePart failure = Assert.Single(Of(Judge(Kit(Bracket), new([30, 30]), new Setting([30, 30], Turn.Quarter))));
        Assert.Equal(20 * Math.Sqrt(2) - 24, failure.InterferenceMm!.Value, 0.01);
        Assert.Contains("the grip runs", failure.Text, StringComparison.Ordinal);
    }

    // A lever on the right edge of the seat stands on the left when the back is turned over; one on the standard stays.
    [Theory]
    [InlineData("back", false, true)]
    [InlineData("back", true, false)]
    [InlineData("camera", false, true)]
    [InlineData("camera", true, true)]
    public void What_stands_on_the_back_turns_over_with_it(string holder, bool over, bool collides)
    {
        const string Lever = """{ "name": "lever", "ringsMm": [[[24,-5],[40,-5],[40,5],[24,5]]], "fromDepthMm": 0, "toDepthMm": 12 }""";
        KitDocument kit = holder == "back" ? Kit(Lever) : Kit(camera: Lever);

        // Turned over, the setting -6 stands at +6 on the image plane.
        Assert.Equal(collides, Of(Judge(kit, new Setting([over ? -6 : 6, 0], Turn.None, over))).Length == 1);
    }

    [Fact]
    public void Without_the_depth_of_the_mount_it_is_not_judged_where_it_matters()
    {
        RulePart rule = Judge(Kit(Plate(25), depth: null), new Setting([7, 0])).Rules.Single(rule => rule.Rule == ClearanceRule.Name);
        Assert.Equal(RulePart.Skipped, rule.Outcome);
        Assert.Contains("back.datumToMountMm", rule.Text, StringComparison.Ordinal);
        Assert.Empty(Of(Judge(Kit(Plate(25), depth: null), Middle)));
    }

    [Fact]
    public void A_mount_that_slides_is_clamped_at_the_least_depth_that_clears()
    {
        VerdictDocument verdict = Judge(Kit(Plate(25), depth: "[6, 30]"), Middle, Middle with { CameraTurn = Turn.Quarter });
        Assert.Empty(Of(verdict));
        Assert.Equal(16, verdict.MountDepthMm);
        Assert.Contains("Clamp the mount 16 mm behind the film datum; it goes from 6 to 30 mm.", verdict.Notes);
        VerdictDocument shorter = Judge(Kit(Plate(25), depth: "[6, 14]"), Middle, Middle with { CameraTurn = Turn.Quarter });
        Assert.Single(Of(shorter));
        Assert.Contains(shorter.Remedies, remedy => remedy.Text.Contains("goes no farther than 14 mm", StringComparison.Ordinal));
    }

    [Fact]
    public void A_depth_that_the_mount_does_not_have_is_refused()
    {
        KitDocument kit = Kit(Plate(25), depth: "[6, 14]");
        CheckRequest request = Request(kit, Middle) with { Picture = new() { MountDepthMm = 20 } };
        Assert.Contains("goes from 6 to 14 mm", Assert.Throws<InputException>(() => AcceptanceCheck.Judge(request)).Message, StringComparison.Ordinal);
    }

    // The slow way: every part at many instants of every way, by area.
    [Fact]
    public void Verdicts_agree_with_looking_at_every_instant()
    {
        KitDocument kit = Kit(Plate(27) + """, { "name": "knob", "ringsMm": [[[-60,-8],[-44,-8],[-44,8],[-60,8]]], "fromDepthMm": 2, "toDepthMm": 30 }""");
        IBack back = kit.Build().Back;
        foreach (int x in new[] { -30, 0, 5 })
        {
            foreach (Turn turn in new[] { Turn.None, Turn.Quarter })
            {
                Setting from = new([x, 0]), to = new([x, 4], turn);
                bool collides = Of(Judge(kit, from, to)).Length > 0;
                Assert.Equal(EveryWayCollides(kit, back, from, to), collides);
            }
        }
    }

    private static bool EveryWayCollides(KitDocument kit, IBack back, Setting from, Setting to)
    {
        if (Collides(kit, Placed.Of(back.Pose(from))) || Collides(kit, Placed.Of(back.Pose(to))))
            return true;
        return Way.Between(from, to).All(way => way.Legs.Any(leg => Enumerable.Range(0, 91).Any(step =>
        {
            double part = step / 90.0;
            SensorPose a = back.Pose(leg.From), b = back.Pose(leg.To);
            double turn = leg.Axis is null ? Angles.Wrap(b.TotalRotation - a.TotalRotation) + (leg.LongWay ? -360 : 0) : 0;
            return Collides(kit, new(a.Centre + part * (b.Centre - a.Centre), a.TotalRotation + part * turn));
        })));
    }

    private static bool Collides(KitDocument kit, Placed body) => kit.Body.Outline!.Any(moving => kit.Back.Outline!.Any(standing =>
        Sweep.Place(moving.ToPolygon(), body).Intersection(standing.ToPolygon()).Area > 1e-3));

    private static FailurePart[] Of(VerdictDocument verdict) => [.. verdict.Failures.Where(failure => failure.Rule == ClearanceRule.Name)];

    private static VerdictDocument Judge(KitDocument kit, params Setting[] settings) => AcceptanceCheck.Judge(Request(kit, settings));

    private static CheckRequest Request(KitDocument kit, params Setting[] settings)
    {
        IBack back = kit.Build().Back;
        return new()
        {
            Kit = kit,
            Back = back,
            Sensor = new(36, 24),
            Format = new(20, 20),
            Overlap = 1,
            Tiles = [.. settings.Select((setting, i) => new PlacedTile(FormattableString.Invariant($"t{i + 1}"), back.Pose(setting), setting))],
        };
    }

    private static KitDocument Kit(string back = "", string? depth = "10", string body = Grip, string camera = "") => Kits.Parse($$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000, {{body}} },
          "back": { "adapter": "cross-slide", "angularToleranceDeg": 0, {{(depth is null ? "" : $"\"datumToMountMm\": {depth},")}} "outline": [ {{back}} ],
                    "axes": [ { "minMm": -40, "maxMm": 40, "toleranceMm": 0 }, { "minMm": -40, "maxMm": 40, "toleranceMm": 0 } ],
                    "turns": [ { "deg": 0 }, { "deg": 90 } ], "seats": [ { "state": "upright" }, { "state": "turned" } ] },
          "camera": { "backTurns": true, "outline": [ {{camera}} ] } }
        """);
}
