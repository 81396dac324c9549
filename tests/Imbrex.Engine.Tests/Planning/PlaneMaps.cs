using CsCheck;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>The heat maps against windows tried one by one and rays sent one by one.</summary>
public sealed class PlaneMaps
{
    private static readonly Gen<PlacedTile> AnyTile = Gen.Select(Gen.Double[-25, 25], Gen.Double[-12, 12], Gen.Int[0, 3].Select(i => new[] { 0.0, 0, 7.5, -31 }[i]), Gen.Bool.Select(quarter => quarter ? Turn.Quarter : Turn.None),
        (x, y, rotation, turn) => new PlacedTile("t", new(new(x, y), turn, rotation)));

    [Fact]
    public void Overlap_depth_is_the_largest_window_that_one_tile_holds() => Gen.Select(AnyTile.Array[1, 4], Gen.Double[0, 1], Gen.Double[4, 22]).Sample((placed, tolerance, aperture) =>
    {
        CheckRequest request = Request(placed, aperture) with { Margins = new(tolerance, 0) };
        TileRectangle[] tiles = UsableTiles.For(request).Of(request.Tiles);
        PlaneMap map = PlaneMap.OverlapDepth(request, 13);
        Assert.Equal((13, 7), (map.Columns, map.Rows));
        foreach ((PlanePoint point, double value) in Cells(map))
        {
            double slow = tiles.Max(tile => LargestWindow(tile, point));
            Assert.Equal(slow, value, 0.011);
        }
    }, iter: 40);

    [Fact]
    public void The_rule_of_overlap_holds_where_the_map_says_so()
    {
        CheckRequest request = Request([.. from y in new[] { -10.0, 10 } from x in new[] { -34.0, 0, 34 } select new PlacedTile("t", new(new(x, y)))], 22) with { Format = new(90, 40) };
        PlaneMap map = PlaneMap.OverlapDepth(request, 180);
        double d = request.Overlap;
        var broken = WindowRule.Broken(request.Format, UsableTiles.For(request).Of(request.Tiles), new(d, d));
        (PlanePoint Point, double Value)[] inside = [.. Cells(map).Where(cell => Math.Abs(cell.Point.X) < 45 - d / 2 && Math.Abs(cell.Point.Y) < 20 - d / 2)];

        double share = inside.Count(cell => cell.Value < d) / (double)inside.Length * (90 - d) * (40 - d);
        Assert.True(broken.Count > 0);
        Assert.Equal(broken.Sum(region => region.Area), share, 0.02 * (90 * 40));
        Assert.All(inside, cell => Assert.Equal(cell.Value < d - 1e-6, broken.Any(region => region.Covers(region.Factory.CreatePoint(new NetTopologySuite.Geometries.Coordinate(cell.Point.X, cell.Point.Y))))));
    }

    [Fact]
    public void Light_left_is_the_share_of_the_pupil_seen_by_the_falloff() => Gen.Select(AnyTile.Array[1, 3], Gen.Double[4, 22], Gen.Double[0, 25]).Sample((placed, aperture, rise) =>
    {
        CheckRequest request = Request(placed, aperture) with { Picture = new() { Aperture = aperture, Movements = new() { RiseMm = rise } } };
        KitOptics optics = KitOptics.Of(request.Kit, request.Picture)!;
        foreach ((PlanePoint point, double value) in Cells(PlaneMap.LightLeft(request, 9)!))
        {
            PlacedTile[] over = [.. placed.Where(tile => Holds(tile, point))];
            if (over.Length == 0)
            {
                Assert.True(double.IsNaN(value));
                continue;
            }
            // cos^4 of the angle at the exit pupil, 150 mm before the sensor; the axis has moved up by the rise. The circle of light is 90 mm wide.
            double off = new PlanePoint(point.X, point.Y + rise).Length;
            double cosine = 150 / Math.Sqrt(150 * 150 + off * off);
            double slow = off > 45 ? 0 : Math.Pow(cosine, 4) * over.Max(tile => Rays(tile, point, new(0, -rise), aperture));
            Assert.Equal(slow, value, 0.02);
        }
        Assert.Equal(150, optics.Stance.PupilDistance, 1e-9);
    }, iter: 25);

    [Fact]
    public void Without_a_lens_there_is_no_map_of_light()
    {
        CheckRequest request = Request([new("t", new(PlanePoint.Origin))], 16) with { Kit = null };
        Assert.Null(PlaneMap.LightLeft(request, 10));
    }

    private static CheckRequest Request(IReadOnlyList<PlacedTile> tiles, double aperture)
    {
        KitDocument kit = Kits.Rail() with { Lens = new() { FocalLengthMm = 150, LightCircleMm = 90 } };
        return new()
        {
            Tiles = tiles,
            Sensor = new(36, 24),
            Format = new(80, 44),
            Overlap = 4,
            Kit = kit with { Body = kit.Body with { Stops = [new() { Shape = "circle", SizeMm = [46], ToSensorMm = 18 }] } },
            Picture = new() { Aperture = aperture },
        };
    }

    private static IEnumerable<(PlanePoint Point, double Value)> Cells(PlaneMap map)
    {
        for (int i = 0; i < map.Values.Count; i++)
        {
            double x = (i % map.Columns + 0.5) / map.Columns - 0.5, y = (i / map.Columns + 0.5) / map.Rows - 0.5;
            yield return (new(x * map.Format.Width, y * map.Format.Height), map.Values[i]);
        }
    }

    // Windows tried by halving: corners of a square in a parallel tile, points of a circle in a rotated one.
    private static double LargestWindow(TileRectangle tile, PlanePoint middle)
    {
        (double low, double high) = (0, 60);
        if (tile.Size.ShortSide <= 0 || !tile.Holds(middle))
            return 0;
        while (high - low > 0.005)
        {
            double side = (low + high) / 2;
            IEnumerable<PlanePoint> rim = tile.IsParallel
                ? new SensorPose(middle).Corners(new(side, side))
                : Enumerable.Range(0, 720).Select(i => middle + side / 2 * new PlanePoint(1, 0).Rotated(i / 2.0));
            (low, high) = rim.All(tile.Holds) ? (side, high) : (low, side);
        }
        return low;
    }

    private static bool Holds(PlacedTile tile, PlanePoint point)
    {
        PlanePoint inside = (point - tile.Pose.Centre).Rotated(-tile.Pose.TotalRotation);
        return Math.Abs(inside.X) <= 18 && Math.Abs(inside.Y) <= 12;
    }

    // A throat 46 mm wide, 18 mm before the sensor and with it; the exit pupil is a disc 150 mm before the sensor.
    private static double Rays(PlacedTile tile, PlanePoint point, PlanePoint foot, double aperture)
    {
        const int Steps = 60;
        double radius = 150 / (2 * aperture);
        int all = 0, through = 0;
        for (int i = 0; i < Steps * Steps; i++)
        {
            PlanePoint from = new(radius * ((i % Steps + 0.5) * 2 / Steps - 1), radius * ((i / Steps + 0.5) * 2 / Steps - 1));
            if (from.Length > radius)
                continue;
            all++;
            PlanePoint pupil = foot + from, throat = point + 18.0 / 150 * (pupil - point);
            if ((throat - tile.Pose.Centre).Length <= 23)
                through++;
        }
        return through / (double)all;
    }
}
