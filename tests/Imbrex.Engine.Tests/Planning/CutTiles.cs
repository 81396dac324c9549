using CsCheck;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>The rules over tiles that are cut to a disc, against windows and points tried one by one.</summary>
public sealed class CutTiles
{
    private sealed record Disc(PlanePoint Centre, double Radius);

    private static readonly Gen<(TileRectangle Tile, Disc Disc)> AnyTile = Gen.Select(Gen.Double[-22, 22], Gen.Double[-12, 12], Gen.Double[-6, 6], Gen.Double[14, 24],
        (x, y, off, radius) => Cut(new("t", new(x, y), new(30, 20), 0), new(new(x + off, y - off / 2), radius)));

    private static readonly Gen<(TileRectangle Tile, Disc Disc)[]> AnyTiles = AnyTile.Array[2, 5];

    [Fact]
    public void Where_the_rule_holds_every_window_lies_in_a_tile_and_where_it_is_broken_none_does() => Gen.Select(AnyTiles, Gen.Double[20, 60], Gen.Double[14, 36], Gen.Double[0.5, 6]).Sample((tiles, width, height, d) =>
    {
        IReadOnlyList<Polygon> broken = WindowRule.Broken(new(width, height), [.. tiles.Select(tile => tile.Tile)], new(d, d));
        foreach (PlanePoint middle in Middles(width - d - 0.001, height - d - 0.001))
        {
            bool isBroken = broken.Any(region => region.Covers(region.Factory.CreatePoint(new Coordinate(middle.X, middle.Y))));
            if (isBroken)
                Assert.False(tiles.Any(tile => Holds(tile, middle, d + 0.02)), $"The window at {middle} is held.");
            else
                Assert.True(tiles.Any(tile => Holds(tile, middle, d - 0.02)), $"The window at {middle} is not held.");
        }
    }, iter: 60);

    [Fact]
    public void The_shared_window_of_two_cut_tiles_is_the_largest() => Gen.Select(AnyTile, AnyTile).Sample((a, b) =>
    {
        double shared = TileRectangle.SharedWindow(a.Tile, b.Tile);
        PlanePoint near = Middles(70, 50).MaxBy(Fits);
        // The size of the window is concave in its middle, with sharp ridges: the search closes in step by step.
        foreach (double side in new[] { 20, 10, 5, 2.5, 1 })
            near += Middles(side, side).MaxBy(off => Fits(near + off));
        double found = Fits(near);
        // Tiles that do not meet share -1, whatever lies between them.
        Assert.True(found <= Math.Max(shared, 0) + 0.02, $"A window of {found} fits; {shared} was said.");
        if (shared > 2)
            Assert.True(found >= shared - 0.3, $"Only {found} was found; {shared} was said.");

        double Fits(PlanePoint middle) => Math.Min(Side(a, middle), Side(b, middle));
    }, iter: 60);

    // Wherever within its tolerance the body stands, the throat with it, the corners of what counts as usable see enough.
    [Fact]
    public void A_usable_tile_has_its_light_wherever_the_back_stops() => Gen.Select(Gen.Double[0, 45], Gen.Double[-25, 25], Gen.Double[0, 0.8], Gen.Double[4, 16], Gen.Double[-1, 1], Gen.Double[-1, 1]).Sample((x, y, tolerance, aperture, strayX, strayY) =>
    {
        KitDocument kit = Kits.Rail() with { Lens = new() { FocalLengthMm = 150 } };
        kit = kit with { Body = kit.Body with { Stops = [new() { Shape = "circle", SizeMm = [46], ToSensorMm = 18 }] } };
        KitOptics optics = KitOptics.Of(kit, new() { Aperture = aperture })!;
        TileRectangle usable = new UsableTiles(kit.Body.Size(), new(tolerance, 0), optics).Of(new PlacedTile("t", new(new(x, y))));
        LightStop[] stray = optics.Stops(new(new(x + (strayX * tolerance), y + (strayY * tolerance))), backTurned: false);
        if (usable.Size.ShortSide > 0)
            Assert.All(usable.Corners(), corner => Assert.True(optics.View!.Value.Fraction(stray, corner) >= 0.7 - 1e-6));
    }, iter: 300);

    [Fact]
    public void A_tile_and_a_region_apart_leave_nothing() => Assert.True(Cut(new("t", default, new(30, 20), 0), new(new(100, 0), 20)).Tile.Size.ShortSide < 0);

    [Fact]
    public void A_region_around_the_tile_cuts_nothing() => Assert.Empty(Cut(new("t", default, new(30, 20), 0), new(default, 19)).Tile.Cuts);

    private static (TileRectangle Tile, Disc Disc) Cut(TileRectangle tile, Disc disc) =>
        (tile.Clipped(HalfPlane.Of([.. Enumerable.Range(0, 180).Select(i => disc.Centre + disc.Radius * new PlanePoint(1, 0).Rotated(2 * i))])), disc);

    private static IEnumerable<PlanePoint> Middles(double width, double height) =>
        from iy in Enumerable.Range(0, 31)
        from ix in Enumerable.Range(0, 41)
        select new PlanePoint(width * (ix / 40.0 - 0.5), height * (iy / 30.0 - 0.5));

    private static bool Holds((TileRectangle Tile, Disc Disc) tile, PlanePoint middle, double d) => Side(tile, middle) >= d;

    // Side of the largest square around a middle inside the rectangle and the disc: its farthest corner lies on the rim, |q| + half a side each way.
    private static double Side((TileRectangle Tile, Disc Disc) tile, PlanePoint middle)
    {
        PlanePoint p = middle - tile.Tile.Centre, q = middle - tile.Disc.Centre;
        double half = Math.Min(tile.Tile.Size.Width / 2 - Math.Abs(p.X), tile.Tile.Size.Height / 2 - Math.Abs(p.Y));
        double sum = Math.Abs(q.X) + Math.Abs(q.Y);
        double inside = sum * sum - 2 * (q.X * q.X + q.Y * q.Y - tile.Disc.Radius * tile.Disc.Radius);
        return 2 * Math.Min(half, inside < 0 ? -1 : (-sum + Math.Sqrt(inside)) / 2);
    }
}
