using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>How many tiles a rectangle needs at the very least, wherever they may lie.</summary>
/// <remarks>
/// Points that lie so far apart that one tile holds few of them need many tiles. The points are grids whose steps are just longer than a whole fraction of a tile's
/// side; a tile holds of them what its two sides hold of each step, whichever way it stands. The area is the limit of ever finer grids.
/// </remarks>
internal static class FrameBound
{
    private const int FinestStep = 8;
    private const double Beyond = 1 + 1e-9;

    /// <summary>No layout has fewer tiles than this.</summary>
    /// <param name="area">The rectangle to cover, mm.</param>
    /// <param name="tiles">The tiles as they may lie, mm.</param>
    public static int Of(PlaneSize area, IReadOnlyList<PlaneSize> tiles)
    {
        double most = Math.Ceiling(area.Area / tiles.Max(tile => tile.Area) - 1e-9);
        double[] sides = [.. tiles.SelectMany(tile => new[] { tile.Width, tile.Height }).Distinct()];
        double[] steps = [.. sides.SelectMany(side => Enumerable.Range(1, FinestStep).Select(part => side / part * Beyond))];
        foreach (double x in steps)
        {
            foreach (double y in steps)
                most = Math.Max(most, Math.Ceiling(Points(area.Width, x) * Points(area.Height, y) / tiles.Max(tile => Points(tile.Width, x) * Points(tile.Height, y)) - 1e-9));
        }
        return (int)Math.Clamp(most, 1, int.MaxValue);
    }

    private static double Points(double length, double step) => Math.Floor(length / step) + 1;
}
