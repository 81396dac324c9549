using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>The overlap that tiles really have in a format, found by halving: a smaller window passes wherever a larger one does.</summary>
internal static class OverlapMeasure
{
    /// <summary>More tiles than this take longer to measure than the number is worth.</summary>
    public const int MostTiles = 400;

    public static MeasuredOverlapPart? Of(PlaneSize format, IReadOnlyList<TileRectangle> tiles)
    {
        if (tiles.Count > MostTiles)
            return null;
        bool parallel = tiles.All(tile => tile.IsParallel);
        return new()
        {
            WindowMm = Window(format, tiles),
            AcrossMm = parallel ? Largest(Math.Min(format.Width, tiles.Max(tile => tile.Size.Width)), window => new(window, 0)) : null,
            DownMm = parallel ? Largest(Math.Min(format.Height, tiles.Max(tile => tile.Size.Height)), window => new(0, window)) : null,
        };

        double Largest(double most, Func<double, PlaneSize> window) => Greatest.Passing(most, size => WindowRule.Holds(format, tiles, window(size)));
    }

    /// <summary>Side of the largest window that lies wholly in one tile wherever in the format it stands, mm.</summary>
    public static double Window(PlaneSize format, IReadOnlyList<TileRectangle> tiles) =>
        Greatest.Passing(Math.Min(format.ShortSide, tiles.Max(tile => tile.Size.ShortSide)), side => WindowRule.Holds(format, tiles, new(side, side)));
}
