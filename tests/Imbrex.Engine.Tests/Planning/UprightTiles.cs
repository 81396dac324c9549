using CsCheck;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>The quick search over upright tiles against the polygons.</summary>
public sealed class UprightTiles
{
    private static readonly Gen<TileRectangle[]> AnyTiles = Gen.Select(Gen.Double[-3, 3], Gen.Double[-3, 3], Gen.Bool,
        (x, y, upright) => (x, y, upright)).Array[6].Select(off => off.Select((o, i) =>
            new TileRectangle($"t{i}", new((i % 3 - 1) * 26 + o.x, (i / 3 - 0.5) * 19 + o.y), o.upright && i == 1 ? new(24, 36) : new(36, 24), 0)).ToArray());

    [Fact]
    public void They_agree_on_every_window() => Gen.Select(AnyTiles, Gen.Double[20, 100], Gen.Double[10, 48], Gen.Double[0, 12], Gen.Double[0, 12]).Sample((tiles, width, height, across, down) =>
    {
        var (format, window) = (new PlaneSize(width, height), new PlaneSize(across, down));
        Assert.Equal(Polygons(format, tiles, window), UprightCover.Holds(format, tiles, window));
    }, iter: 400);

    [Fact]
    public void The_measured_overlap_is_that_of_the_polygons() => Gen.Select(AnyTiles, Gen.Double[20, 90], Gen.Double[10, 40]).Sample((tiles, width, height) =>
    {
        var format = new PlaneSize(width, height);
        MeasuredOverlapPart measured = OverlapMeasure.Of(format, tiles)!;
        Assert.Equal(Greatest.Passing(Math.Min(format.ShortSide, 36), side => Polygons(format, tiles, new(side, side))), measured.WindowMm, 1.1e-5);
        Assert.Equal(Greatest.Passing(Math.Min(width, 36), side => Polygons(format, tiles, new(side, 0))), measured.AcrossMm!.Value, 1.1e-5);
        Assert.Equal(Greatest.Passing(Math.Min(height, 36), side => Polygons(format, tiles, new(0, side))), measured.DownMm!.Value, 1.1e-5);
    }, iter: 40);

    // Tiles that overlap by a hair more or less than asked, from a thousandth of the polygons' rounding to a hundred times it.
    [Fact]
    public void What_is_sure_is_what_the_polygons_say() => Gen.Select(AnyTiles, Gen.Double[20, 100], Gen.Double[10, 48], Gen.Double[-9, -4], Gen.Bool, Gen.Bool).Sample((tiles, width, height, digits, wider, square) =>
    {
        double hair = (wider ? 1 : -1) * Math.Pow(10, digits);
        var format = new PlaneSize(width, height);
        double limit = square ? OverlapMeasure.Of(format, tiles)!.WindowMm : OverlapMeasure.Of(format, tiles)!.AcrossMm!.Value;
        var window = new PlaneSize(Math.Max(0, limit + hair), square ? Math.Max(0, limit + hair) : 0);
        bool polygons = Polygons(format, tiles, window);
        Assert.True(polygons || !UprightCover.SurelyHolds(format, tiles, window));
        Assert.True(!polygons || !UprightCover.SurelyFails(format, tiles, window));
    }, iter: 300);

    // Or nothing would be gained.
    [Fact]
    public void An_ordinary_grid_is_sure()
    {
        TileRectangle[] tiles = [.. from y in new[] { -10.0, 10 } from x in new[] { -27.0, 0, 27 } select new TileRectangle("t", new(x, y), new(35.5, 23.5), 0)];
        Assert.True(UprightCover.SurelyHolds(new(86, 41), tiles, new(2.4, 2.4)));
        Assert.True(UprightCover.SurelyFails(new(86, 41), tiles, new(3.6, 3.6)));
    }

    // Sides that meet exactly, as those of regular grids do.
    [Theory]
    [InlineData(36)]
    [InlineData(33.6)]
    [InlineData(27)]
    public void They_agree_where_sides_meet_exactly(double step)
    {
        TileRectangle[] tiles = [.. from y in new[] { -10.0, 10 } from x in new[] { -step, 0, step } select new TileRectangle("t", new(x, y), new(36, 24), 0)];
        foreach (double d in new[] { 0, 36 - step, 4 })
            Assert.Equal(Polygons(new(2 * step + 36, 44), tiles, new(d, d)), UprightCover.Holds(new(2 * step + 36, 44), tiles, new(d, d)));
    }

    private static bool Polygons(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window) => WindowRule.Remainder(format, tiles, window).Count == 0;
}
