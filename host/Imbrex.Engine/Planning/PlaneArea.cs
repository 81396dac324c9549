using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Overlay;
using NetTopologySuite.Operation.OverlayNG;

namespace Imbrex.Engine.Planning;

/// <summary>Areas of the image plane as the polygon library sees them: coordinates snap to 1e-6 mm; what is smaller than
/// 1e-6 mm2 or thinner than the rounding of two edges is nothing.</summary>
internal static class PlaneArea
{
    /// <summary>Lengths below this do not count, mm.</summary>
    public const double Snap = 1e-6;

    /// <summary>Areas up to this do not count, mm2.</summary>
    public const double Negligible = 1e-6;

    private static readonly PrecisionModel Precision = new(1 / Snap);
    private static readonly GeometryFactory Factory = new(Precision);

    public static Geometry Rectangle(PlaneSize size) =>
        Polygon([new(-size.Width / 2, -size.Height / 2), new(size.Width / 2, -size.Height / 2), new(size.Width / 2, size.Height / 2), new(-size.Width / 2, size.Height / 2)]);

    public static Geometry Polygon(IReadOnlyList<PlanePoint> corners)
    {
        var ring = new Coordinate[corners.Count + 1];
        for (int i = 0; i < ring.Length; i++)
        {
            PlanePoint corner = corners[i % corners.Count];
            ring[i] = new(Precision.MakePrecise(corner.X), Precision.MakePrecise(corner.Y));
        }
        return Factory.CreatePolygon(ring);
    }

    /// <summary>
    /// The union of closed rectangles, or of what is left of them. Each is grown by the snap first, so that rectangles which meet exactly leave no sliver when their
    /// corners are rounded to the grid.
    /// </summary>
    public static Geometry Union(IEnumerable<TileRectangle> tiles)
    {
        Geometry[] parts = [.. tiles.Where(tile => tile.Size.ShortSide > Snap && (tile.Cuts.Count == 0 || tile.Corners().Count >= 3)).Select(tile => Polygon(tile.Grown(Snap).Corners()))];
        return parts.Length == 0 ? Factory.CreatePolygon() : UnaryUnionNG.Union((IEnumerable<Geometry>)parts, Precision);
    }

    /// <summary>The union of polygons.</summary>
    public static Geometry Union(IEnumerable<Polygon> polygons) => UnaryUnionNG.Union((IEnumerable<Geometry>)[.. polygons], Precision);

    public static IEnumerable<Polygon> Difference(Geometry whole, Geometry part) => Pieces(OverlayNG.Overlay(whole, part, SpatialFunction.Difference, Precision));

    public static IEnumerable<Polygon> Intersection(Geometry a, Geometry b) => Pieces(OverlayNG.Overlay(a, b, SpatialFunction.Intersection, Precision));

    public static Geometry Collect(IEnumerable<Polygon> polygons) => Factory.CreateMultiPolygon([.. polygons]);

    /// <summary>Rings of a polygon, outline first, then holes; not closed by a repeated point.</summary>
    public static IReadOnlyList<IReadOnlyList<IReadOnlyList<double>>> Rings(Polygon polygon) =>
        [.. new[] { polygon.ExteriorRing }.Concat(polygon.InteriorRings).Select(ring => Points(ring.Coordinates))];

    private static IReadOnlyList<IReadOnlyList<double>> Points(Coordinate[] closed) =>
        [.. closed[..^1].Select(point => (IReadOnlyList<double>)[point.X, point.Y])];

    // Corners rounded to the grid leave slivers as thin as the grid along whole sides: more area than nothing, and yet nothing.
    private static bool IsSomething(Polygon polygon) => polygon.Area > Negligible && 2 * polygon.Area / polygon.Length > 2 * Snap;

    private static IEnumerable<Polygon> Pieces(Geometry geometry)
    {
        for (int i = 0; i < geometry.NumGeometries; i++)
        {
            if (geometry.GetGeometryN(i) is Polygon polygon && IsSomething(polygon))
                yield return polygon;
        }
    }
}
