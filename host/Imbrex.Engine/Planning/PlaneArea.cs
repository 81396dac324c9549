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
        IReadOnlyList<Block> blocks = Blocks(whole, tiles);
        if (blocks.Count == 1)
            return [.. Pieces(Left(blocks[0]))];
        Polygon[][] pieces = InPieces(blocks);
        Polygon[] cut = [.. pieces.SelectMany((of, i) => of.Where(blocks[i].Cuts))];
        if (cut.Length > MostMerged)
            return [.. pieces.SelectMany(of => of).Where(IsSomething)];
        IEnumerable<Polygon> merged = cut.Length == 0 ? [] : Pieces(Union(cut));
        return [.. pieces.SelectMany((of, i) => of.Where(piece => !blocks[i].Cuts(piece) && IsSomething(piece))), .. merged];
    }

    /// <summary>The same in pieces that end where blocks do.</summary>
    public static IReadOnlyList<Polygon> RemainderInPieces(PlaneSize whole, IReadOnlyList<TileRectangle> tiles) =>
        [.. InPieces(Blocks(whole, tiles)).SelectMany(of => of).Where(IsSomething)];

    // On all cores; which piece is found first does not matter.
    private static Polygon[][] InPieces(IReadOnlyList<Block> blocks)
    {
        var pieces = new Polygon[blocks.Count][];
        if (blocks.Count == 1)
            pieces[0] = Polygons(Left(blocks[0]));
        else
            Parallel.For(0, blocks.Count, i => pieces[i] = Polygons(Left(blocks[i])));
        return pieces;
    }

    private static Geometry Left(Block block) => OverlayNG.Overlay(block.Area, Union(block.Tiles), SpatialFunction.Difference, Precision);

    private static Polygon[] Polygons(Geometry geometry) => [.. Enumerable.Range(0, geometry.NumGeometries).Select(geometry.GetGeometryN).OfType<Polygon>().Where(piece => !piece.IsEmpty)];

    // A rectangle of many tiles is divided into blocks of a few tiles each: the work then grows as the number of tiles, where one union of them all grows faster.
    private static IReadOnlyList<Block> Blocks(PlaneSize whole, IReadOnlyList<TileRectangle> tiles)
    {
        const double TilesOfBlock = 24;
        double side = Math.Sqrt(whole.Area / Math.Max(1, tiles.Count / TilesOfBlock));
        (double[] xs, double[] ys) = (Cuts(whole.Width, side), Cuts(whole.Height, side));
        if (xs.Length == 2 && ys.Length == 2)
            return [new(Rectangle(whole), tiles)];
        var near = new TilePairs(tiles);
        var blocks = new List<Block>();
        for (int y = 0; y + 1 < ys.Length; y++)
        {
            for (int x = 0; x + 1 < xs.Length; x++)
            {
                Geometry area = Polygon([new(xs[x], ys[y]), new(xs[x + 1], ys[y]), new(xs[x + 1], ys[y + 1]), new(xs[x], ys[y + 1])]);
                blocks.Add(new(area, [.. near.Meeting(area.EnvelopeInternal).Select(i => tiles[i])]));
            }
        }
        return blocks;
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

    private sealed record Block(Geometry Area, IReadOnlyList<TileRectangle> Tiles)
    {
        // A piece that reaches the block's edge may go on in the next block.
        public bool Cuts(Polygon piece)
        {
            Envelope inside = Area.EnvelopeInternal.Copy();
            inside.ExpandBy(-Snap / 2);
            return !inside.Contains(piece.EnvelopeInternal);
        }
    }
}
