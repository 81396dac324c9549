using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The one rule behind coverage and overlap: every window inside the format lies wholly in one tile. It holds exactly when the format
/// shrunk by half the window lies inside the union of the tiles shrunk likewise: a window lies in a convex set if and only if its middle
/// lies in that set's erosion. A window of size 0 is plain coverage.
/// </summary>
internal static class WindowRule
{
    // A strip no wider than this is a line: its failures would be too thin to count as areas.
    private const double LineWidth = 10 * PlaneArea.Snap;

    /// <summary>The places where the middle of a window lies that no tile holds; empty where the rule holds.</summary>
    /// <param name="format">The rectangle to fill, centred on the origin.</param>
    /// <param name="tiles">The usable tiles.</param>
    /// <param name="window">The window; a format smaller than it passes.</param>
    public static IReadOnlyList<Polygon> Broken(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window) =>
        UprightCover.SurelyHolds(format, tiles, window) ? [] : Remainder(format, tiles, window);

    /// <summary>The same by polygons, which know every shape.</summary>
    public static IReadOnlyList<Polygon> Remainder(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window)
    {
        var middles = new PlaneSize(format.Width - window.Width, format.Height - window.Height);
        if (middles.ShortSide < -PlaneArea.Snap)
            return [];
        TileRectangle[] eroded = [.. tiles.Select(tile => tile.Eroded(window))];
        if (middles.ShortSide <= LineWidth || middles.Area <= PlaneArea.Negligible)
            return MiddleLine.Broken(middles, eroded, window);
        return PlaneArea.Remainder(middles, eroded);
    }

    public static bool Holds(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window) => Broken(format, tiles, window).Count == 0;
}
