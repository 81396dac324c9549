using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The overlap that tiles really have in a format: the largest window that passes, where a smaller one passes wherever a larger one does. Mostly it is what some two tiles
/// share, so those sizes are tried first.
/// </summary>
internal static class OverlapMeasure
{
    /// <summary>More tiles than this take longer to measure than the number is worth.</summary>
    public const int MostTiles = 150;

    // Sizes nearer than this are one, mm.
    private const double Same = 1e-5;

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
    public static double Window(PlaneSize format, IReadOnlyList<TileRectangle> tiles) => Largest(
        Math.Min(format.ShortSide, tiles.Max(tile => tile.Size.ShortSide)),
        new TilePairs(tiles).Pairs().Select(pair => TileRectangle.SharedWindow(tiles[pair.A], tiles[pair.B])),
        side => WindowRule.Holds(format, tiles, new(side, side)));

    private static double Along(PlaneSize format, IReadOnlyList<TileRectangle> tiles, Func<PlaneSize, double> side, Func<PlanePoint, double> at, Func<double, PlaneSize> window) => Largest(
        Math.Min(side(format), tiles.Max(tile => side(tile.Size))),
        new TilePairs(tiles).Pairs().Select(pair => (side(tiles[pair.A].Size) + side(tiles[pair.B].Size)) / 2 - Math.Abs(at(tiles[pair.A].Centre) - at(tiles[pair.B].Centre))),
        size => WindowRule.Holds(format, tiles, window(size)));

    // Between the largest known size that passes and the smallest that does not there is little left to halve, and mostly nothing.
    private static double Largest(double most, IEnumerable<double> known, Func<double, bool> passes)
    {
        double[] sizes = [.. known.Where(size => size > Same && size < most).Select(Lengths.Down).Distinct().Order()];
        (int passing, int failing) = (-1, sizes.Length);
        while (failing - passing > 1)
        {
            int middle = (passing + failing) / 2;
            (passing, failing) = passes(sizes[middle]) ? (middle, failing) : (passing, middle);
        }
        double low = passing >= 0 ? sizes[passing] : 0, high = failing < sizes.Length ? sizes[failing] : most;
        return passing >= 0 && !passes(low + 2 * Same) ? low : Greatest.Passing(low, high, passes);
    }
}
