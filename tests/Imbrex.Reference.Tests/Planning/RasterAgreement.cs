using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Reference.Tests.Planning;

/// <summary>
/// The polygon work against the definition itself, tried window by window. With whole-number tiles, format and window the definition is
/// exact on a raster: if a window of whole side fails at all, one with whole coordinates fails too or one half a unit off; a raster of half
/// units decides it. Rotated tiles are compared with a sampled disc inside a tolerance band.
/// </summary>
public sealed class RasterAgreement
{
    [Fact]
    public void Two_thousand_random_layouts_of_whole_numbers_agree_with_the_raster()
    {
        var random = new Random(20260);
        (int held, int broken) = (0, 0);
        for (int i = 0; i < 2000; i++)
        {
            (int width, int height, int d) = (random.Next(6, 15), random.Next(6, 15), random.Next(0, 4));
            TileRectangle[] tiles = NearlyRegular(random, width, height, d);
            bool expected = WindowsHeld(tiles, width, height, d) && Covered(tiles, width, height);
            bool actual = WindowRule.Holds(new(width, height), tiles, new(d, d)) && WindowRule.Holds(new(width, height), tiles, default);
            Assert.True(expected == actual, $"Layout {i}: raster {expected}, polygons {actual}: {width} x {height}, d {d}, {string.Join("; ", tiles.Select(tile => tile.Box()))}");
            (held, broken) = expected ? (held + 1, broken) : (held, broken + 1);
        }
        Assert.True(held > 300 && broken > 300, $"The draw is one-sided: {held} hold, {broken} do not.");
    }

    [Fact]
    public void What_the_overlap_rule_accepts_hangs_together()
    {
        var random = new Random(7);
        int tried = 0;
        while (tried < 300)
        {
            (int width, int height, int d) = (random.Next(6, 15), random.Next(6, 15), random.Next(1, 4));
            TileRectangle[] tiles = NearlyRegular(random, width, height, d);
            TileRectangle[] needed = [.. tiles.Where(tile => Meets(tile.Eroded(new(d, d)), width - d, height - d))];
            if (!WindowRule.Holds(new(width, height), tiles, new(d, d)))
                continue;
            Assert.Single(JoinedTiles.Find(needed, d).Groups);
            tried++;
        }
    }

    [Fact]
    public void Uncovered_area_agrees_with_the_count_of_raster_cells()
    {
        var random = new Random(11);
        for (int i = 0; i < 300; i++)
        {
            (int width, int height) = (random.Next(6, 15), random.Next(6, 15));
            TileRectangle[] tiles = NearlyRegular(random, width, height, 2);
            double cells = Cells(width, height).Count(cell => !tiles.Any(tile => Holds(tile, cell.X, cell.Y, cell.X, cell.Y)));
            double area = WindowRule.Broken(new(width, height), tiles, default).Sum(region => region.Area);
            Assert.Equal(cells, area, 1e-3);
        }
    }

    // A disc of diameter d lies in a rotated tile if and only if its middle is at least d/2 inside each side; sampled on a fine raster.
    // A sample decides only where it fails or holds by more than the raster's own coarseness.
    [Fact]
    public void Two_hundred_random_layouts_of_rotated_tiles_agree_within_a_band()
    {
        const double Pitch = 0.1;
        var random = new Random(31);
        (int held, int broken, int undecided) = (0, 0, 0);
        for (int i = 0; i < 200; i++)
        {
            var format = new PlaneSize(14, 12);
            double d = 0.5 + 3 * random.NextDouble();
            TileRectangle[] tiles = [.. Enumerable.Range(0, 9).Select(t => new TileRectangle(
                $"t{t}",
                new(((t % 3) - 1) * 4.6 + random.NextDouble() - 0.5, ((t / 3) - 1) * 3.9 + random.NextDouble() - 0.5),
                new(7.6, 6.4),
                20 * (random.NextDouble() - 0.5)))];
            double worst = WorstMiddle(tiles, format, d, Pitch);
            bool actual = WindowRule.Holds(format, tiles, new(d, d));
            if (Math.Abs(worst) <= Pitch)
            {
                undecided++;
                continue;
            }
            Assert.True(worst > 0 == actual, $"Layout {i}: the worst window is held by {worst} mm, polygons say {actual}.");
            (held, broken) = actual ? (held + 1, broken) : (held, broken + 1);
        }
        Assert.True(held > 20 && broken > 20 && undecided < 120, $"The draw is one-sided: {held} hold, {broken} do not, {undecided} undecided.");
    }

    // Smallest, over the middles of windows in the format, of how deep the best tile holds that window.
    private static double WorstMiddle(TileRectangle[] tiles, PlaneSize format, double d, double pitch)
    {
        double worst = double.PositiveInfinity;
        (double halfX, double halfY) = ((format.Width - d) / 2, (format.Height - d) / 2);
        (int nx, int ny) = ((int)Math.Ceiling(2 * halfX / pitch), (int)Math.Ceiling(2 * halfY / pitch));
        for (int iy = 0; iy <= ny; iy++)
        {
            for (int ix = 0; ix <= nx; ix++)
            {
                var middle = new PlanePoint(-halfX + 2 * halfX * ix / nx, -halfY + 2 * halfY * iy / ny);
                worst = Math.Min(worst, tiles.Max(tile => Depth(tile, middle) - d / 2));
            }
        }
        return worst;
    }

    private static double Depth(TileRectangle tile, PlanePoint point)
    {
        PlanePoint inside = (point - tile.Centre).Rotated(-tile.Rotation);
        return Math.Min(tile.Size.Width / 2 - Math.Abs(inside.X), tile.Size.Height / 2 - Math.Abs(inside.Y));
    }

    // A grid that just does, with a few sides and places disturbed by whole units: holds and fails about equally often.
    private static TileRectangle[] NearlyRegular(Random random, int width, int height, int d)
    {
        (int w, int h) = (random.Next(d + 1, 8), random.Next(d + 1, 8));
        int columns = Math.Max(1, (int)Math.Ceiling((width - d) / (double)(w - d)));
        int rows = Math.Max(1, (int)Math.Ceiling((height - d) / (double)(h - d)));
        var tiles = new List<TileRectangle>();
        double disturbed = 1.0 / (columns * rows);
        for (int r = 0; r < rows; r++)
        {
            for (int c = 0; c < columns; c++)
            {
                int shiftX = random.NextDouble() < disturbed ? random.Next(-2, 3) : 0;
                int shiftY = random.NextDouble() < disturbed ? random.Next(-2, 3) : 0;
                (int left, int top) = (c * (w - d) + shiftX, r * (h - d) + shiftY);
                tiles.Add(new($"r{r}c{c}", new(left + w / 2.0 - width / 2.0, top + h / 2.0 - height / 2.0), new(w, h), 0));
            }
        }
        return [.. tiles];
    }

    // Every window of side d with corners on half units; no region of failing windows is smaller than that, as its sides are whole numbers.
    private static bool WindowsHeld(TileRectangle[] tiles, int width, int height, int d)
    {
        for (double y = -height / 2.0; y <= height / 2.0 - d; y += 0.5)
        {
            for (double x = -width / 2.0; x <= width / 2.0 - d; x += 0.5)
            {
                if (!tiles.Any(tile => Holds(tile, x, y, x + d, y + d)))
                    return false;
            }
        }
        return true;
    }

    private static bool Covered(TileRectangle[] tiles, int width, int height) =>
        Cells(width, height).All(cell => tiles.Any(tile => Holds(tile, cell.X, cell.Y, cell.X, cell.Y)));

    private static IEnumerable<PlanePoint> Cells(int width, int height) =>
        from y in Enumerable.Range(0, height)
        from x in Enumerable.Range(0, width)
        select new PlanePoint(x + 0.5 - width / 2.0, y + 0.5 - height / 2.0);

    private static bool Holds(TileRectangle tile, double left, double top, double right, double bottom)
    {
        (double l, double t, double r, double b) = tile.Box();
        return l <= left && t <= top && r >= right && b >= bottom;
    }

    private static bool Meets(TileRectangle tile, double width, double height)
    {
        (double l, double t, double r, double b) = tile.Box();
        return l <= r && t <= b && l <= width / 2 && r >= -width / 2 && t <= height / 2 && b >= -height / 2;
    }
}
