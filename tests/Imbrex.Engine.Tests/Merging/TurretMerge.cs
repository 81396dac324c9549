using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Tests.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>A sensor that turns freely goes all the way: planned on a turret, shot, and merged to where it truly stood.</summary>
public sealed class TurretMerge(ITestOutputHelper output)
{
    // The pivot 81 mm below the axis, an arm of 90 mm straight up, four stops 12 degrees apart, and the same with the back turned over.
    private const string Turret = """
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 600, "heightPx": 400 },
          "back": { "adapter": "turret", "parameters": { "pivot-y": 81, "arm-y": -90 }, "angularToleranceDeg": 0.2,
                    "axes": [ { "minDeg": -24, "maxDeg": 24, "detentsDeg": [-18, -6, 6, 18], "scaleZeroDeg": 90, "toleranceMm": 0.2 } ],
                    "turns": [ { "deg": 0 } ], "seats": [ { "state": "upright" }, { "state": "turned" } ] },
          "camera": { "backTurns": true }, "overlapMm": 2 }
        """;

    private static readonly double[] Stops = [-18, -6, 6, 18];

    [Fact]
    public void A_plan_gives_each_tile_the_arms_rotation_and_a_setting_on_its_scale()
    {
        PlanDocument plan = Plan();
        Assert.Equal(Stops.Concat(Stops).Order(), plan.Tiles.Select(tile => tile.Setting!.Positions[0]).Order());
        foreach (TilePart tile in plan.Tiles)
        {
            double angle = tile.Setting!.Positions[0];
            PlanePoint place = new PlanePoint(0, 81) + new PlanePoint(0, -90).Rotated(angle);
            bool over = tile.BackTurned is true;
            Assert.Equal(angle, tile.RotationDeg!.Value, 1e-9);
            Assert.Equal(over ? 180 : 0, tile.TurnDeg);
            Assert.True(((over ? -place : place) - new PlanePoint(tile.XMm, tile.YMm)).Length < 1e-9);
        }
        Assert.True(AcceptanceCheck.Judge(CheckRequest.For(plan, plan.Kit!.Build().Back)).Accepted);
    }

    // The slow way: every window's middle on a raster of 0.25 mm, asked of every rotated rectangle itself. Between rotated tiles a window is a disc.
    [Fact]
    public void What_the_verdict_accepts_the_raster_finds_held()
    {
        PlanDocument plan = Plan();
        CheckRequest request = CheckRequest.For(plan, plan.Kit!.Build().Back);
        PlaneSize usable = request.Margins.Usable(request.Sensor);
        Assert.Equal(0, Missed(2));

        // Wherever the verdict names a larger window as held everywhere, the raster agrees, and a little more does not do.
        double held = AcceptanceCheck.Judge(request).MeasuredOverlap!.WindowMm;
        Assert.Equal(0, Missed(held));
        Assert.NotEqual(0, Missed(held + 0.5));

        int Missed(double window)
        {
            int missed = 0;
            for (double x = -28 + window / 2; x <= 28 - window / 2; x += 0.25)
            {
                for (double y = -16.5 + window / 2; y <= 16.5 - window / 2; y += 0.25)
                    missed += request.Tiles.Any(tile => Holds(tile.Pose, new(x, y), usable, window)) ? 0 : 1;
            }
            return missed;
        }
    }

    private static bool Holds(SensorPose pose, PlanePoint point, PlaneSize size, double window)
    {
        PlanePoint inside = (point - pose.Centre).Rotated(-pose.TotalRotation);
        return Math.Abs(inside.X) <= (size.Width - window) / 2 + 1e-5 && Math.Abs(inside.Y) <= (size.Height - window) / 2 + 1e-5;
    }

    // Neighbours are turned by 12 degrees against each other, and the two rows by up to 216.
    [Fact]
    public void Neighbours_turned_against_each_other_are_found_and_placed()
    {
        using var bench = new MergeBench(SmallTake.Photograph, Plan(), SmallTake.Shaken with { PositionSdMm = 0.1, PositionMaxMm = 0.2, RotationSdDeg = 0.1, RotationMaxDeg = 0.2 });
        MergeResult result = bench.Merge();
        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        output.WriteLine(FormattableString.Invariant($"RMS {error.Rms:0.0000} px, largest {error.Largest:0.0000} px"));
        Assert.Equal(8, result.Mosaic.Tiles.Count);
        Assert.DoesNotContain(result.Mosaic.Findings, finding => finding.Kind == "untied");
        Assert.InRange(error.Rms, 0, 0.05);
        Assert.InRange(error.Largest, 0, 0.15);
    }

    private static PlanDocument Plan()
    {
        KitDocument kit = Kits.Parse(Turret);
        Tile[] tiles = [.. Stops.SelectMany(angle =>
        {
            PlanePoint place = new PlanePoint(0, 81) + new PlanePoint(0, -90).Rotated(angle);
            return new Tile[] { new(new(place, Turn.None, angle)), new(new(-place, Turn.Half, angle)) };
        })];
        PlanResult result = Planner.Plan(new() { Kit = kit, Back = kit.Build(), Layout = new Kits.Fixed(tiles), Format = new(56, 33) });
        Assert.True(result.Verdict.Accepted, result.Verdict.Summary);
        return result.Plan!;
    }
}
