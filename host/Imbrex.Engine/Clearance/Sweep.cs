using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Clearance;

/// <summary>
/// What a polygon covers while it moves: where it stands at the beginning, and what its sides sweep, since a point can only come in across a side.
/// </summary>
internal static class Sweep
{
    // How far a chord may stay within the arc that it stands for, mm.
    private const double Sagitta = 5e-3;

    /// <summary>Pieces that together cover what the polygon sweeps, exact for straight motions; of turning ones no more than
    /// 0.005 mm is left out at the outer edge and no more than 0.02 mm is added at the inner one.</summary>
    /// <param name="outline">The polygon in its own frame.</param>
    /// <param name="motions">One motion after another.</param>
    public static IReadOnlyList<Polygon> Pieces(Polygon outline, IReadOnlyList<PlaneMotion> motions)
    {
        var pieces = new List<Polygon>();
        foreach (PlaneMotion motion in motions)
        {
            pieces.Add(Place(outline, motion.From));
            foreach (LineString ring in new[] { outline.ExteriorRing }.Concat(outline.InteriorRings))
            {
                for (int i = 0; i + 1 < ring.NumPoints; i++)
                    Side(motion, motion.From.On(Point(ring.GetCoordinateN(i))), motion.From.On(Point(ring.GetCoordinateN(i + 1))), pieces);
            }
        }
        return pieces;
    }

    /// <summary>The polygon where it stands.</summary>
    public static Polygon Place(Polygon outline, Placed at) => Map(outline, at.On);

    /// <summary>The polygon with each point moved.</summary>
    public static Polygon Map(Polygon outline, Func<PlanePoint, PlanePoint> moved)
    {
        LinearRing Ring(LineString ring) => new([.. ring.Coordinates.Select(corner => Corner(moved(Point(corner))))]);
        return new(Ring(outline.ExteriorRing), [.. outline.InteriorRings.Select(Ring)]);
    }

    // Where the centre's perpendicular meets a side, the side is divided: each half then sweeps without crossing itself.
    private static void Side(PlaneMotion motion, PlanePoint a, PlanePoint b, List<Polygon> pieces)
    {
        if (!motion.IsStraight && Foot(motion.Centre, a, b) is { } foot)
        {
            Quads(motion, a, foot, pieces);
            Quads(motion, foot, b, pieces);
        }
        else
        {
            Quads(motion, a, b, pieces);
        }
    }

    private static void Quads(PlaneMotion motion, PlanePoint a, PlanePoint b, List<Polygon> pieces)
    {
        int steps = motion.IsStraight ? 1 : Steps(motion.Degrees, Math.Max((a - motion.Centre).Length, (b - motion.Centre).Length));
        (PlanePoint lastA, PlanePoint lastB) = (a, b);
        for (int i = 1; i <= steps; i++)
        {
            double part = (double)i / steps;
            (PlanePoint nextA, PlanePoint nextB) = (motion.At(a, part), motion.At(b, part));
            if (new MultiPoint([.. new[] { lastA, lastB, nextB, nextA }.Select(corner => new Point(Corner(corner)))]).ConvexHull() is Polygon quad)
                pieces.Add(quad);
            (lastA, lastB) = (nextA, nextB);
        }
    }

    // A chord of the angle d stays r (1 - cos(d/2)) within its arc.
    private static int Steps(double degrees, double radius)
    {
        double step = radius <= Sagitta ? 90 : 2 * Math.Acos(1 - Sagitta / radius) * 180 / Math.PI;
        return Math.Max(1, (int)Math.Ceiling(Math.Abs(degrees) / Math.Min(step, 90)));
    }

    private static PlanePoint? Foot(PlanePoint centre, PlanePoint a, PlanePoint b)
    {
        PlanePoint side = b - a, way = centre - a;
        double part = (way.X * side.X + way.Y * side.Y) / (side.X * side.X + side.Y * side.Y);
        return part is > 0 and < 1 ? a + part * side : null;
    }

    private static PlanePoint Point(Coordinate corner) => new(corner.X, corner.Y);

    private static Coordinate Corner(PlanePoint point) => new(point.X, point.Y);
}
