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

    // Tiles that leave more pieces than these leave something everywhere: that it hangs together is not worth the time to find out.
    private const int MostMerged = 1000;

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

    /// <summary>What tiles leave of a rectangle around the origin, in pieces where that is very much; nothing narrower than the rounding of two edges.</summary>
    public static IReadOnlyList<Polygon> Remainder(PlaneSize whole, IReadOnlyList<TileRectangle> tiles)
    {
        (Polygon Piece, bool IsCut)[] pieces = [.. RemainderOfBlocks(whole, tiles)];
        Polygon[] cut = [.. pieces.Where(piece => piece.IsCut).Select(piece => piece.Piece)];
        if (cut.Length > MostMerged)
            return [.. pieces.Select(piece => piece.Piece).Where(IsSomething)];
        IEnumerable<Polygon> merged = cut.Length == 0 ? [] : Pieces(Union(cut));
        return [.. pieces.Where(piece => !piece.IsCut && IsSomething(piece.Piece)).Select(piece => piece.Piece), .. merged];
    }

    /// <summary>The same in pieces that end where blocks do.</summary>
    public static IReadOnlyList<Polygon> RemainderInPieces(PlaneSize whole, IReadOnlyList<TileRectangle> tiles) =>
        [.. RemainderOfBlocks(whole, tiles).Select(piece => piece.Piece).Where(IsSomething)];

    // The rectangle is divided into blocks of a few tiles each, which the processor's cores share: the work then grows as the number of tiles, where one union
    // of them all grows faster. A piece that reaches its block's edge may go on in the next block.
    private static IEnumerable<(Polygon Piece, bool IsCut)> RemainderOfBlocks(PlaneSize whole, IReadOnlyList<TileRectangle> tiles) => Blocks(whole, tiles)
        .AsParallel().AsOrdered()
        .SelectMany(block =>
        {
            Geometry left = OverlayNG.Overlay(block.Area, Union(block.Tiles), SpatialFunction.Difference, Precision);
            Envelope inside = block.Area.EnvelopeInternal.Copy();
            inside.ExpandBy(-Snap / 2);
            return Enumerable.Range(0, left.NumGeometries).Select(left.GetGeometryN).OfType<Polygon>().Where(piece => !piece.IsEmpty)
                .Select(piece => (piece, !block.IsOnly && !inside.Contains(piece.EnvelopeInternal)));
        });

    private static IEnumerable<(Geometry Area, TileRectangle[] Tiles, bool IsOnly)> Blocks(PlaneSize whole, IReadOnlyList<TileRectangle> tiles)
    {
        const double TilesOfBlock = 24;
        double side = Math.Sqrt(whole.Area / Math.Max(1, tiles.Count / TilesOfBlock));
        (double[] xs, double[] ys) = (Cuts(whole.Width, side), Cuts(whole.Height, side));
        if (xs.Length == 2 && ys.Length == 2)
            return [(Rectangle(whole), [.. tiles], true)];
        var near = new TilePairs(tiles);
        return
            from y in Enumerable.Range(0, ys.Length - 1)
            from x in Enumerable.Range(0, xs.Length - 1)
            select (Polygon([new(xs[x], ys[y]), new(xs[x + 1], ys[y]), new(xs[x + 1], ys[y + 1]), new(xs[x], ys[y + 1])]),
                near.Meeting(new(xs[x], xs[x + 1], ys[y], ys[y + 1])).Select(i => tiles[i]).ToArray(), false);
    }

    private static double[] Cuts(double length, double side)
    {
        int blocks = (int)Math.Max(1, Math.Round(length / side));
        return [.. Enumerable.Range(0, blocks + 1).Select(i => Precision.MakePrecise((i / (double)blocks - 0.5) * length))];
    }

    public static IEnumerable<Polygon> Difference(Geometry whole, Geometry part) => Pieces(OverlayNG.Overlay(whole, part, SpatialFunction.Difference, Precision));

    public static Geometry Collect(IEnumerable<Polygon> polygons) => Factory.CreateMultiPolygon([.. polygons]);

    public static IEnumerable<Polygon> Intersection(Geometry a, Geometry b) => Pieces(OverlayNG.Overlay(a, b, SpatialFunction.Intersection, Precision));

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
