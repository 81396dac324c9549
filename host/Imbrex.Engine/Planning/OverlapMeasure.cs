using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The overlap that tiles really have in a format: the largest window that passes, where a smaller one passes wherever a larger one does.
/// </summary>
internal static class OverlapMeasure
{
    /// <summary>More tiles than this take longer to measure than the number is worth.</summary>
    public const int MostTiles = 150;

    // The result is rounded down to half of this; a window as much larger must fail.
    private const double Certain = 2e-5;

    public static MeasuredOverlapPart? Of(PlaneSize format, IReadOnlyList<TileRectangle> tiles)
    {
        if (tiles.Count > MostTiles)
            return null;
        bool parallel = tiles.All(tile => tile.IsParallel);
        return new()
        {
            WindowMm = Window(format, tiles),
            AcrossMm = parallel ? Along(format, tiles, size => size.Width, point => point.X, window => new(window, 0)) : null,
            DownMm = parallel ? Along(format, tiles, size => size.Height, point => point.Y, window => new(0, window)) : null,
        };
    }

    /// <summary>Side of the largest window that lies wholly in one tile wherever in the format it stands, mm.</summary>
    public static double Window(PlaneSize format, IReadOnlyList<TileRectangle> tiles) => Largest(format, tiles,
        Math.Min(format.ShortSide, tiles.Max(tile => tile.Size.ShortSide)),
        (a, b) => TileRectangle.SharedWindow(a, b),
        side => new(side, side));

    private static double Along(PlaneSize format, IReadOnlyList<TileRectangle> tiles, Func<PlaneSize, double> side, Func<PlanePoint, double> at, Func<double, PlaneSize> window) => Largest(format, tiles,
        Math.Min(side(format), tiles.Max(tile => side(tile.Size))),
        (a, b) => (side(a.Size) + side(b.Size)) / 2 - Math.Abs(at(a.Centre) - at(b.Centre)),
        window);

    // Upright tiles are searched the quick way, and the polygons asked only whether that is right.
    private static double Largest(PlaneSize format, IReadOnlyList<TileRectangle> tiles, double most, Func<TileRectangle, TileRectangle, double> shared, Func<double, PlaneSize> window)
    {
        if (UprightCover.Suits(tiles))
        {
            double found = Greatest.Passing(most, size => UprightCover.Holds(format, tiles, window(size)));
            bool holds = UprightCover.SurelyHolds(format, tiles, window(found - Certain / 2)) || Holds(found);
            if (holds && (found + Certain > most || UprightCover.SurelyFails(format, tiles, window(found + Certain)) || !Holds(found + Certain)))
                return found;
        }
        return Largest(most, new TilePairs(tiles).Pairs().Select(pair => shared(tiles[pair.A], tiles[pair.B])), Holds);

        bool Holds(double size) => WindowRule.Holds(format, tiles, window(size));
    }

    // Mostly the largest window is what some two tiles share: between the largest such size that passes and the smallest that does not there is little left to halve.
    private static double Largest(double most, IEnumerable<double> known, Func<double, bool> passes)
    {
        double[] sizes = [.. known.Where(size => size > Certain && size < most).Select(Lengths.Down).Distinct().Order()];
        (int passing, int failing) = (-1, sizes.Length);
        while (failing - passing > 1)
        {
            int middle = (passing + failing) / 2;
            (passing, failing) = passes(sizes[middle]) ? (middle, failing) : (passing, middle);
        }
        double low = passing >= 0 ? sizes[passing] : 0, high = failing < sizes.Length ? sizes[failing] : most;
        return passing >= 0 && !passes(low + Certain) ? low : Greatest.Passing(low, high, passes);
    }
}
