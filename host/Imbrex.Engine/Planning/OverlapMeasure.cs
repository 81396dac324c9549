using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>The overlap that tiles really have in a format, found by halving: a smaller window passes wherever a larger one does.</summary>
internal static class OverlapMeasure
{
    /// <summary>More tiles than this take longer to measure than the number is worth.</summary>
    public const int MostTiles = 400;

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
            AcrossMm = parallel ? Largest(format, tiles, Math.Min(format.Width, tiles.Max(tile => tile.Size.Width)), window => new(window, 0)) : null,
            DownMm = parallel ? Largest(format, tiles, Math.Min(format.Height, tiles.Max(tile => tile.Size.Height)), window => new(0, window)) : null,
        };
    }

    /// <summary>Side of the largest window that lies wholly in one tile wherever in the format it stands, mm.</summary>
    public static double Window(PlaneSize format, IReadOnlyList<TileRectangle> tiles) =>
        Largest(format, tiles, Math.Min(format.ShortSide, tiles.Max(tile => tile.Size.ShortSide)), side => new(side, side));

    // Upright tiles are searched the quick way, and the polygons asked only whether that is right.
    private static double Largest(PlaneSize format, IReadOnlyList<TileRectangle> tiles, double most, Func<double, PlaneSize> window)
    {
        if (UprightCover.Suits(tiles))
        {
            double found = Greatest.Passing(most, size => UprightCover.Holds(format, tiles, window(size)));
            if (Holds(found) && (found + Certain > most || !Holds(found + Certain)))
                return found;
        }
        return Greatest.Passing(most, Holds);

        bool Holds(double size) => WindowRule.Holds(format, tiles, window(size));
    }
}
