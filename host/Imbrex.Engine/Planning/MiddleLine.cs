using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The window rule where the format is just as wide or as high as the window: the middles of the windows then lie on one line through
/// the origin, and areas say nothing. Each tile holds one stretch of that line.
/// </summary>
internal static class MiddleLine
{
    /// <summary>The unheld stretches, drawn as the windows that have their middle there.</summary>
    public static IReadOnlyList<Polygon> Broken(PlaneSize middles, IReadOnlyList<TileRectangle> eroded, PlaneSize window)
    {
        bool across = middles.Width >= middles.Height;
        double half = Math.Max(0, across ? middles.Width : middles.Height) / 2;
        (double From, double To)[] held = [.. eroded
            .Select(tile => Stretch(tile.Grown(PlaneArea.Snap), across))
            .Where(stretch => stretch.From <= stretch.To && stretch.To >= -half && stretch.From <= half)
            .OrderBy(stretch => stretch.From)];
        if (held.Length == 0)
            return [Windows(-half, half, across, window)];
        var broken = new List<Polygon>();
        double reached = -half;
        foreach ((double from, double to) in held.Append((half, half)))
        {
            if (from > reached + PlaneArea.Snap)
                broken.Add(Windows(reached, from, across, window));
            reached = Math.Max(reached, to);
        }
        return broken;
    }

    // The part of the line y = 0 (or x = 0) inside a tile: cut by its two pairs of parallel sides, and by what cuts the tile.
    private static (double From, double To) Stretch(TileRectangle tile, bool across)
    {
        (double from, double to) = (double.NegativeInfinity, double.PositiveInfinity);
        PlanePoint direction = (across ? new PlanePoint(1, 0) : new PlanePoint(0, 1)).Rotated(-tile.Rotation);
        PlanePoint start = (-tile.Centre).Rotated(-tile.Rotation);
        foreach ((double s, double d, double half) in new[] { (start.X, direction.X, tile.Size.Width / 2), (start.Y, direction.Y, tile.Size.Height / 2) })
        {
            if (half < 0 || (d == 0 && Math.Abs(s) > half))
                return (1, 0);
            if (d == 0)
                continue;
            (double a, double b) = ((-half - s) / d, (half - s) / d);
            (from, to) = (Math.Max(from, Math.Min(a, b)), Math.Min(to, Math.Max(a, b)));
        }
        foreach (HalfPlane side in tile.Cuts)
        {
            double slope = across ? side.X : side.Y;
            if (slope == 0 && side.Limit < 0)
                return (1, 0);
            (from, to) = slope switch { > 0 => (from, Math.Min(to, side.Limit / slope)), < 0 => (Math.Max(from, side.Limit / slope), to), _ => (from, to) };
        }
        return (from, to);
    }

    private static Polygon Windows(double from, double to, bool across, PlaneSize window)
    {
        (double x, double y) = (window.Width / 2, window.Height / 2);
        return across
            ? (Polygon)PlaneArea.Polygon([new(from - x, -y), new(to + x, -y), new(to + x, y), new(from - x, y)])
            : (Polygon)PlaneArea.Polygon([new(-x, from - y), new(x, from - y), new(x, to + y), new(-x, to + y)]);
    }
}
