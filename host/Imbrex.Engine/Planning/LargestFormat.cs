using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The largest formats that tiles fill, exactly: take everything around the origin that the tiles do not hold; the format grows until
/// its middles touch that. The factor at which they touch a point is convex and piecewise linear in the point, so over a polygon it is
/// least at a corner, or where an edge crosses one of the lines on which it bends.
/// </summary>
internal static class LargestFormat
{
    // As WindowRule: what is narrower is a line.
    private const double Narrow = 10 * PlaneArea.Snap;

    /// <summary>The largest format of the same shape that passes coverage and overlap, or null.</summary>
    public static PlaneSize? OfShape(PlaneSize shape, IReadOnlyList<TileRectangle> tiles, double window)
    {
        // A format that a window does not fit into needs no overlap; one that it just fits into is as good as that, or fails on its middle line.
        double tooNarrow = Math.Max(0, window - 2 * PlaneArea.Snap) / shape.ShortSide;
        double held = Factor(shape, Unheld(tiles, window), window);
        double overlapping = held * shape.ShortSide > window + Narrow ? held : tooNarrow;
        double factor = Math.Min(Factor(shape, Unheld(tiles, 0), 0), overlapping);
        return factor > 0 ? new(factor * shape.Width, factor * shape.Height) : null;
    }

    /// <summary>What the tiles fill: the largest rectangle of the shape, then made wider or higher as far as it goes, whichever gains more.</summary>
    public static PlaneSize? Filled(PlaneSize shape, IReadOnlyList<TileRectangle> tiles)
    {
        IReadOnlyList<Polygon> unheld = Unheld(tiles, 0);
        double factor = Factor(shape, unheld, 0);
        if (factor <= 0)
            return null;
        var same = new PlaneSize(factor * shape.Width, factor * shape.Height);
        PlaneSize wider = Taller(Wider(same, unheld), unheld);
        PlaneSize taller = Wider(Taller(same, unheld), unheld);
        return wider.Area >= taller.Area ? wider : taller;
    }

    // The largest factor on the shape at which no window has its middle where none is held, or 0 for none.
    private static double Factor(PlaneSize shape, IReadOnlyList<Polygon> unheld, double window)
    {
        if (unheld.Count == 0 || unheld.Any(polygon => polygon.Covers(polygon.Factory.CreatePoint(new Coordinate(0, 0)))))
            return 0;
        return unheld.SelectMany(Edges).SelectMany(edge => Bends(edge, shape, window)).Min(point =>
            Math.Max((2 * Math.Abs(point.X) + window) / shape.Width, (2 * Math.Abs(point.Y) + window) / shape.Height));
    }

    private static PlaneSize Wider(PlaneSize size, IReadOnlyList<Polygon> unheld) => new(2 * Nearest(unheld, new(double.NaN, size.Height), p => Math.Abs(p.X)), size.Height);

    private static PlaneSize Taller(PlaneSize size, IReadOnlyList<Polygon> unheld) => new(size.Width, 2 * Nearest(unheld, new(size.Width, double.NaN), p => Math.Abs(p.Y)));

    // The strip is a little narrower than the rectangle, or the edges that the rectangle touches would stand in its way.
    private static double Nearest(IReadOnlyList<Polygon> unheld, PlaneSize strip, Func<PlanePoint, double> distance)
    {
        const double Clearance = 4 * PlaneArea.Snap;
        var box = new Envelope();
        foreach (Polygon piece in unheld)
            box.ExpandToInclude(piece.EnvelopeInternal);
        double width = double.IsNaN(strip.Width) ? 2 * Math.Max(-box.MinX, box.MaxX) : strip.Width - Clearance;
        double height = double.IsNaN(strip.Height) ? 2 * Math.Max(-box.MinY, box.MaxY) : strip.Height - Clearance;
        Geometry band = PlaneArea.Rectangle(new(width, height));
        IEnumerable<Polygon> pieces = unheld.Where(piece => piece.EnvelopeInternal.Intersects(band.EnvelopeInternal)).SelectMany(piece => PlaneArea.Intersection(piece, band));
        return pieces.SelectMany(Edges).Min(edge => Math.Min(distance(edge.From), distance(edge.To)));
    }

    private static IReadOnlyList<Polygon> Unheld(IReadOnlyList<TileRectangle> tiles, double window)
    {
        TileRectangle[] held = [.. tiles.Select(tile => tile.Eroded(new(window, window))).Where(tile => tile.Size.ShortSide > 0)];
        if (held.Length == 0)
            return [];
        double reach = 1 + held.SelectMany(tile => tile.Corners()).Max(corner => Math.Max(Math.Abs(corner.X), Math.Abs(corner.Y)));
        return PlaneArea.RemainderInPieces(new(2 * reach, 2 * reach), held);
    }

    private static IEnumerable<(PlanePoint From, PlanePoint To)> Edges(Polygon polygon) => new[] { polygon.ExteriorRing }.Concat(polygon.InteriorRings)
        .SelectMany(ring => ring.Coordinates.Zip(ring.Coordinates.Skip(1), (a, b) => (new PlanePoint(a.X, a.Y), new PlanePoint(b.X, b.Y))));

    // Ends of an edge, its crossings with the axes, and with the four lines on which width and height bind alike.
    private static IEnumerable<PlanePoint> Bends((PlanePoint From, PlanePoint To) edge, PlaneSize shape, double window)
    {
        yield return edge.From;
        double level = window / shape.Width - window / shape.Height;
        foreach ((double a, double b, double c) in new[]
        {
            (1.0, 0.0, 0.0), (0.0, 1.0, 0.0),
            (2 / shape.Width, -2 / shape.Height, level), (-2 / shape.Width, -2 / shape.Height, level),
            (2 / shape.Width, 2 / shape.Height, level), (-2 / shape.Width, 2 / shape.Height, level),
        })
        {
            double from = a * edge.From.X + b * edge.From.Y + c;
            double to = a * edge.To.X + b * edge.To.Y + c;
            if (from < 0 != to < 0)
                yield return edge.From + from / (from - to) * (edge.To - edge.From);
        }
    }
}
