using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>Kits that can and cannot make a picture: each refusal with the number that fails and the nearest thing that would work.</summary>
public sealed class LightAndFocus
{
    private const string Throat = "\"stops\": [ { \"shape\": \"circle\", \"sizeMm\": [46], \"toSensorMm\": 18 } ]";
    private const string Lens150 = "\"focalLengthMm\": 150, \"flangeFocalMm\": 142, \"lightCircleMm\": 210, \"sharpCircleMm\": 190, \"imageCircleAperture\": 16, \"apertureRange\": [5.6, 45]";
    private const string Camera = "\"boardToFilmMinMm\": 70, \"boardToFilmMaxMm\": 320, \"filmDepthMm\": 4.83, \"riseMm\": [-20, 30], \"shiftMm\": [-25, 25]";

    [Fact]
    public void A_kit_that_can_says_how_much_room_is_left()
    {
        VerdictDocument verdict = Judge(Kit(), new() { Aperture = 22, FocusDistanceMm = 5000, Movements = new() { RiseMm = 10 } });
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Equal(["reach", "coverage", "overlap", "joined", "movements", "light", "focus"], verdict.Rules.Select(rule => rule.Rule));
        Assert.All(verdict.Rules, rule => Assert.Equal(RulePart.Passed, rule.Outcome));
        OpticsPart optics = verdict.Optics!;
        double v = 150 * 5000 / 4850.0, radius = 105 * v / 150;
        Assert.Equal(v, optics.ImageDistanceMm, 1e-9);
        Assert.Equal([0, -10.0], optics.AxisMm);
        Assert.Equal(2 * radius, optics.LightCircle!.DiameterMm, 1e-9);
        Assert.Equal(Math.Sqrt(radius * radius - (44 * 44)) - 21 - 10, optics.LightCircle.Room.RiseMm, 1e-4);
        Assert.Equal(Math.Sqrt(radius * radius - (44 * 44)) - 21 + 10, optics.LightCircle.Room.FallMm, 1e-4);
        Assert.Equal(22 * v / 150, optics.WorkingAperture!.Value, 1e-9);
        Assert.Equal((14667, 7000), (optics.View.WidthPx, optics.View.HeightPx));
        Assert.Null(verdict.Warnings);
    }

    [Fact]
    public void A_format_outside_the_circle_of_light_is_refused_and_what_would_do_does()
    {
        KitDocument kit = Kit(lens: Lens150.Replace("210", "100", StringComparison.Ordinal).Replace("190", "80", StringComparison.Ordinal));
        PicturePart picture = new() { Aperture = 22, Movements = new() { RiseMm = 20, ShiftMm = 4 } };
        VerdictDocument refused = Judge(kit, picture);
        Assert.False(refused.Accepted);
        FailurePart[] failures = [.. refused.Failures];
        Assert.All(failures, failure => Assert.Equal("light", failure.Rule));
        double needed = 2 * Math.Sqrt((48 * 48) + (41 * 41));
        Assert.Contains(FormattableString.Invariant($"outside the circle of light of 100 mm: it would take {Math.Round(needed, 2)} mm"), refused.Summary, StringComparison.Ordinal);
        Assert.Equal(refused.Optics!.LightCircle!.OutsidePercent, 100 * failures.Sum(failure => failure.AreaMm2!.Value) / (88 * 42), 1e-9);
        Assert.All(failures, failure => Assert.All(failure.Region![0], point => Assert.True(Math.Abs(point[0]) <= 44.001 && Math.Abs(point[1]) <= 21.001)));

        RemedyPart format = refused.Remedies.Single(remedy => remedy.Kind == "format");
        PlaneSize smaller = new(Number(format.Text, "format of "), Number(format.Text, " x "));
        Assert.True(Judge(kit, picture, smaller).Accepted);
        Assert.False(Judge(kit, picture, new(smaller.Width * 1.01, smaller.Height * 1.01)).Accepted);

        string movements = refused.Remedies.Single(remedy => remedy.Kind == "movements").Text;
        (double rise, double shift) = (Number(movements, "rise "), Number(movements, "shift "));
        Assert.True(Judge(kit, picture with { Movements = new() { RiseMm = rise, ShiftMm = shift } }).Accepted);
        Assert.False(Judge(kit, picture with { Movements = new() { RiseMm = rise + 0.3, ShiftMm = shift } }).Accepted);

        double circle = Number(refused.Remedies.Single(remedy => remedy.Kind == "lens").Text, "at least ");
        Assert.Equal(needed, circle, 0.011);
        double dark = Number(refused.Remedies.Single(remedy => remedy.Kind == "dark-corners").Text, "--allow-dark-corners ");
        VerdictDocument allowed = Judge(kit, picture with { DarkCornersPercent = dark });
        Assert.True(allowed.Accepted, allowed.Summary);
        Assert.Contains(allowed.Warnings!, warning => warning.Rule == "light" && warning.Text.Contains("corners will be dark", StringComparison.Ordinal));
    }

    // The share outside, counted on a fine raster instead of cut by polygons.
    [Fact]
    public void The_dark_part_of_the_format_is_its_area()
    {
        KitDocument kit = Kit(lens: Lens150.Replace("210", "100", StringComparison.Ordinal).Replace("190", "80", StringComparison.Ordinal));
        VerdictDocument verdict = Judge(kit, new() { Movements = new() { RiseMm = 20, ShiftMm = 4 } });
        int outside = 0;
        for (int i = 0; i < 880 * 420; i++)
        {
            (double x, double y) = (((i % 880) + 0.5) / 10 - 44, ((i / 880) + 0.5) / 10 - 21);
            outside += ((x - 4) * (x - 4)) + ((y + 20) * (y + 20)) > 50 * 50 ? 1 : 0;
        }
        Assert.Equal(100.0 * outside / (880 * 420), verdict.Optics!.LightCircle!.OutsidePercent, 0.02);
    }

    [Fact]
    public void Outside_the_sharp_circle_is_a_warning_only()
    {
        VerdictDocument verdict = Judge(Kit(lens: Lens150.Replace("190", "90", StringComparison.Ordinal)), new() { Aperture = 16 });
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Contains(verdict.Warnings!, warning => warning.Text.Contains("outside the sharp circle of 90 mm", StringComparison.Ordinal));
    }

    [Fact]
    public void A_throat_that_clips_corners_refuses_tiles_that_would_do_and_names_the_aperture_that_opens_it()
    {
        KitDocument kit = Kit(body: Throat.Replace("46", "38", StringComparison.Ordinal), back: Cross);
        CheckRequest request = Request(kit, new() { Aperture = 5.6 }, new(30, 98), [.. new[] { -37.5, -18.75, 0, 18.75, 37.5 }.Select(y => new PlanePoint(0, y))]);
        VerdictDocument refused = AcceptanceCheck.Judge(request);
        FailurePart light = Assert.Single(refused.Failures, failure => failure.Rule == "light");
        Assert.Contains("of the exit pupil is seen there at f/5.6, and 70 % must be; without what is too dark the tiles do not overlap enough", light.Text, StringComparison.Ordinal);
        Assert.Contains(refused.Failures, failure => failure.Rule is "coverage" or "overlap");

        double aperture = Number(Assert.Single(refused.Remedies, remedy => remedy.Kind == "aperture").Text, "f/");
        Assert.True(AcceptanceCheck.Judge(request with { Picture = new() { Aperture = aperture } }).Accepted);
        Assert.True(AcceptanceCheck.Judge(request with { Kit = kit with { Body = kit.Body with { Stops = [] } } }).Accepted);
        SizePart largest = refused.LargestFormat!;
        Assert.DoesNotContain(AcceptanceCheck.Judge(request with { Format = largest.ToSize() }).Failures, failure => failure.Rule is "coverage" or "overlap" or "light");
    }

    [Fact]
    public void A_corner_that_sees_nothing_of_the_pupil_is_called_black()
    {
        KitDocument kit = Kit(body: Throat.Replace("[46]", "[22]", StringComparison.Ordinal), back: Cross);
        CheckRequest request = Request(kit, new() { Aperture = 11 }, new(84, 22), new PlanePoint(-27, 0), new(0, 0), new(27, 0)) with { Overlap = 2 };
        VerdictDocument refused = AcceptanceCheck.Judge(request);
        Assert.Contains(refused.Failures, failure => failure.Rule == "light" && failure.Text.Contains("it is black there", StringComparison.Ordinal));
    }

    [Fact]
    public void The_tile_that_is_cut_shows_where_it_sees_least()
    {
        VerdictDocument verdict = Judge(Kit(body: Throat), new() { Aperture = 5.6 });
        Assert.True(verdict.Accepted, verdict.Summary);
        TileLightPart outer = verdict.Optics!.Tiles.Single(tile => tile.Id == "27/10");

        // The corner nearest the lens axis: (27 - 18, 10 - 12). Worked from the formulas: Z = 150, t = 18, R = 23, N = 5.6.
        Assert.Equal([9, -2.0], outer.AtMm!);
        double c = Math.Sqrt(Math.Pow((9 * 0.88) - 27, 2) + Math.Pow((-2 * 0.88) - 10, 2));
        Assert.Equal(Engine.Optics.ClippedDisc.WithDisc(18 / 11.2, 23, c) / (Math.PI * Math.Pow(18 / 11.2, 2)), outer.LeastLight!.Value, 1e-12);
        Assert.Equal(outer.LeastLight < 0.7, outer.Cut);
    }

    // Worked by hand: 90 + 0 - (12 + 18 - 4.83) = 64.83 mm.
    [Fact]
    public void A_90_mm_lens_that_cannot_focus_at_infinity_is_refused_with_both_lengths()
    {
        KitDocument kit = Kit(lens: "\"focalLengthMm\": 90, \"flangeFocalMm\": 90, \"lightCircleMm\": 210");
        VerdictDocument refused = Judge(kit, null);
        Assert.Equal("focus", Assert.Single(refused.Failures).Rule);
        Assert.Contains("needs 64.83 mm between board and film, and the standards come no closer than 70 mm: 5.17 mm too far apart", refused.Summary, StringComparison.Ordinal);
        Assert.Null(refused.LargestFormat);
        Assert.Contains(refused.Remedies, remedy => remedy.Text.Contains("a back that is 5.17 mm thinner", StringComparison.Ordinal));
        double farthest = 1000 * Number(refused.Remedies.Single(remedy => remedy.Text.StartsWith("The farthest", StringComparison.Ordinal)).Text, "focuses is ");
        Assert.Equal(90 * (1 + (90 / 5.17)), farthest, 1.0);
        VerdictDocument near = Judge(kit, new() { FocusDistanceMm = farthest - 5 });
        Assert.True(near.Accepted, near.Summary);
        Assert.Contains(near.Warnings!, warning => warning.Text.Contains("cannot focus at infinity", StringComparison.Ordinal));
        Assert.False(Judge(kit, new() { FocusDistanceMm = farthest + 5 }).Accepted);
    }

    [Fact]
    public void A_distance_that_needs_too_long_an_extension_is_refused_and_the_nearest_is_told()
    {
        VerdictDocument refused = Judge(Kit(), new() { Magnification = 1.5 });
        Assert.Contains("the standards go no farther than 320 mm", refused.Summary, StringComparison.Ordinal);
        RemedyPart nearest = refused.Remedies.Single(remedy => remedy.Text.StartsWith("The nearest", StringComparison.Ordinal));

        // (320 + 25.17 - 142) / 150 = 1.35447 times life size, at 150 (1 + 1/m) mm.
        Assert.Equal(Math.Ceiling(150 * (1 + (150 / 203.17))), Number(nearest.Text, "focuses is "));
        Assert.True(Judge(Kit(), new() { FocusDistanceMm = Number(nearest.Text, "focuses is ") }).Accepted);
    }

    [Fact]
    public void The_glass_lies_before_the_sensor_by_the_depth_of_back_and_body()
    {
        VerdictDocument verdict = Judge(Kit(), new() { Aperture = 16, CircleOfConfusionMm = 0.009 });
        Assert.Equal(12 + 18 - 4.83, verdict.Focus!.CloseAfterGlassMm, 1e-9);
        Assert.Equal(Math.Atan(16 * 0.009 / 44) * 180 / Math.PI, verdict.Focus.LargestLeanDeg!.Value, 1e-9);
        Assert.Contains(verdict.Notes, note => note.Contains("25.17 mm behind the ground glass", StringComparison.Ordinal) && note.Contains("moving the rear", StringComparison.Ordinal) && note.Contains("on the sensor itself", StringComparison.Ordinal));
    }

    [Fact]
    public void A_leaning_seat_is_warned_of()
    {
        KitDocument kit = Kit(back: Rail + ", \"seats\": [ { \"state\": \"upright\", \"tiltDeg\": [0.05, 0.25] }, { \"state\": \"turned\", \"depthMm\": 0.4 } ]");
        VerdictDocument verdict = Judge(kit, new() { Aperture = 16, CircleOfConfusionMm = 0.009 });
        Assert.Contains(verdict.Warnings!, warning => warning.Text.StartsWith("The back's seat leans by 0.25 degrees; from 0.19 degrees", StringComparison.Ordinal));
        Assert.Contains(verdict.Warnings!, warning => warning.Text.Contains("0.4 mm nearer or farther", StringComparison.Ordinal));
    }

    [Fact]
    public void A_camera_that_cannot_turn_its_back_over_gets_what_one_row_allows()
    {
        VerdictDocument verdict = Judge(Kit(camera: Camera + ", \"backTurns\": false"), null);
        Assert.Contains(verdict.Notes, note => note.Contains("only what one seat reaches: 116 mm across and 24 mm down with the body level, and 4 mm centred on the lens axis", StringComparison.Ordinal));
    }

    // The arc's bounding box would promise corners that the arm never reaches.
    [Fact]
    public void Of_an_arm_no_rectangle_is_promised()
    {
        KitDocument turret = Kits.Parse("""
            { "schema": "imbrex/kit/1", "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000 },
              "back": { "adapter": "turret", "angularToleranceDeg": 1, "axes": [ { "minDeg": -30, "maxDeg": 30, "toleranceMm": 0.1 } ] }, "camera": { "backTurns": false } }
            """);
        VerdictDocument verdict = Planner.Plan(turret.Plan(new(20, 10), 1) with { Layout = new Kits.Fixed(new Sdk.Geometry.Tile(new(default))) }).Verdict;
        Assert.EndsWith("only what one seat reaches.", Assert.Single(verdict.Notes, note => note.Contains("one seat", StringComparison.Ordinal)), StringComparison.Ordinal);
    }

    [Fact]
    public void Movements_beyond_the_camera_are_refused()
    {
        VerdictDocument refused = Judge(Kit(), new() { Movements = new() { RiseMm = 35 } });
        Assert.Equal("The rise is 35 mm and the camera's goes from -20 to 30.", Assert.Single(refused.Failures, failure => failure.Rule == "movements").Text);
        Assert.Contains(refused.Remedies, remedy => remedy.Text == "A rise of 30 mm is the most that this camera does.");
    }

    [Fact]
    public void What_is_missing_is_named_with_what_cannot_be_told()
    {
        KitDocument bare = Kit(lens: "\"focalLengthMm\": 150", camera: "\"filmDepthMm\": 4.83, \"backTurns\": true");
        bare = bare with { Body = bare.Body with { Stops = null }, Back = bare.Back with { OpeningMm = null, OpeningToSensorMm = null } };
        VerdictDocument verdict = Judge(bare, null);
        Assert.True(verdict.Accepted, verdict.Summary);
        string[] fields = [.. verdict.Missing!.SelectMany(missing => missing.Fields)];
        Assert.Equal(["lens.lightCircleMm", "lens.sharpCircleMm", "picture.aperture", "lens.imageCircleAperture", "body.stops", "back.openingMm", "back.openingToSensorMm",
            "lens.flangeFocalMm", "camera.boardToFilmMinMm", "camera.boardToFilmMaxMm"], fields);
        Assert.Equal(["skipped", "skipped"], verdict.Rules.Where(rule => rule.Rule is "light" or "focus").Select(rule => rule.Outcome));
        Assert.Equal(["lens"], Judge(bare with { Lens = null }, null).Missing!.Single().Fields);
    }

    [Fact]
    public void A_class_stands_in_for_what_is_not_measured()
    {
        VerdictDocument verdict = Judge(Kit(lens: "\"class\": \"standard\", \"focalLengthMm\": 150"), new() { Aperture = 22 });
        Assert.Equal(2 * 150 * Math.Tan(39 * Math.PI / 180), verdict.Optics!.LightCircle!.DiameterMm, 1e-9);
        Assert.Contains(verdict.Notes, note => note.Contains("Taken from the lens class 'standard', not measured", StringComparison.Ordinal));
        InputException fault = Assert.Throws<InputException>(() => Kit(lens: "\"class\": \"standrad\", \"focalLengthMm\": 150"));
        Assert.Contains("standrad", fault.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(100.0, null, null)]
    [InlineData(null, 64.0, null)]
    [InlineData(null, null, 120.0)]
    public void A_picture_that_the_lens_cannot_take_is_bad_input(double? distance, double? aperture, double? near) =>
        Assert.Throws<InputException>(() => Judge(Kit(), new() { FocusDistanceMm = distance, Aperture = aperture, NearMm = near }));

    [Fact]
    public void A_stop_before_the_pupil_is_bad_input() =>
        Assert.Throws<InputException>(() => Judge(Kit(body: Throat.Replace("18", "151", StringComparison.Ordinal)), null));

    [Fact]
    public void What_belongs_to_the_picture_goes_into_the_plan_and_comes_back()
    {
        PicturePart picture = new()
        {
            FocusDistanceMm = 5000,
            Aperture = 22,
            Movements = new() { RiseMm = 10, SwingDeg = 2 },
            Seconds = 0.5,
            Iso = 100,
            Filters = ["yellow"],
            Movers = [new() { Name = "walkers", WidthMm = 500, SpeedMmPerS = 1400 }],
        };
        KitDocument kit = Kit();
        PlanResult result = Planner.Plan(kit.Plan(new(88, 42), 3, ("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20")) with { Picture = picture });
        Assert.True(result.Verdict.Accepted, result.Verdict.Summary);
        PlanDocument plan = JsonDocuments.Parse<PlanDocument>(JsonDocuments.ToBytes(result.Plan!), PlanDocument.SchemaName, "plan.json");
        byte[] again = JsonDocuments.ToBytes(AcceptanceCheck.Judge(CheckRequest.For(plan, plan.Kit!.Build().Back)) with { Handling = result.Verdict.Handling, Notes = result.Verdict.Notes });
        Assert.Equal(JsonDocuments.ToBytes(result.Verdict), again);
        VerdictDocument read = JsonDocuments.Parse<VerdictDocument>(again, VerdictDocument.SchemaName, "verdict.json");
        Assert.Equal(again, JsonDocuments.ToBytes(read));
    }

    private const string Rail = "\"adapter\": \"rail\", \"parameters\": { \"row-offset\": 10 }, \"datumToMountMm\": 12, \"angularToleranceDeg\": 0, \"axes\": [ { \"minMm\": -40, \"maxMm\": 40, \"toleranceMm\": 0 } ], \"turns\": [ { \"deg\": 0 } ]";
    private const string Cross = "\"adapter\": \"cross-slide\", \"datumToMountMm\": 12, \"angularToleranceDeg\": 0, \"axes\": [ { \"minMm\": -60, \"maxMm\": 60, \"toleranceMm\": 0 }, { \"minMm\": -60, \"maxMm\": 60, \"toleranceMm\": 0 } ]";

    private static KitDocument Kit(string body = "\"stops\": []", string back = Rail, string lens = Lens150, string camera = Camera + ", \"backTurns\": true") => Kits.Parse($$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000, "registerMm": 18, {{body}} },
          "back": { {{back}}, "openingMm": [300, 300], "openingToSensorMm": 28 },
          "lens": { {{lens}} },
          "camera": { {{camera}} } }
        """);

    private static VerdictDocument Judge(KitDocument kit, PicturePart? picture, PlaneSize? format = null) => AcceptanceCheck.Judge(
        Request(kit, picture, format ?? new(88, 42), [.. from y in new[] { -10.0, 10 } from x in new[] { -27.0, 0, 27 } select new PlanePoint(x, y)]));

    // The row above is the back turned over, which stands the body on its head.
    private static CheckRequest Request(KitDocument kit, PicturePart? picture, PlaneSize format, params PlanePoint[] centres) => new()
    {
        Tiles = [.. centres.Select(centre => new PlacedTile(FormattableString.Invariant($"{centre.X}/{centre.Y}"), new(centre, centre.Y < 0 && kit.Back.Adapter == "rail" ? Turn.Half : Turn.None)))],
        Sensor = kit.Body.Size(),
        Format = format,
        Overlap = 3,
        Margins = Margins.None,
        Back = kit.Build().Back,
        Kit = kit,
        Picture = picture,
    };

    private static double Number(string text, string after)
    {
        int start = text.IndexOf(after, StringComparison.Ordinal);
        Assert.True(start >= 0, $"'{after}' is not in: {text}");
        return double.Parse(new string([.. text[(start + after.Length)..].TakeWhile(c => char.IsDigit(c) || c is '.' or '-')]).TrimEnd('.'), System.Globalization.CultureInfo.InvariantCulture);
    }
}
