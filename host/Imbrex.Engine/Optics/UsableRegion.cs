using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>
/// The part of a tile that sees at least an allowed fraction of the exit pupil. It is convex: for one round stop a disc, and in general because the
/// root of the area that convex sets share is a concave function of their displacement (Brunn and Minkowski; from memory).
/// </summary>
public static class UsableRegion
{
    /// <summary>The fraction of light that a tile's edge may lose to openings is 1 less this: common practice, no source.</summary>
    public const double DefaultFraction = 0.7;

    // Loses at most 0.1 % of the radius: about as much as the finest side of other outlines.
    private const int DiscSides = 72;

    // The outline is drawn by rays from inside: first a few, then between two of them until what a side cuts off is narrower than this, mm.
    private const int FirstRays = 16;
    private const double FinestSide = 0.02;
    private const double NarrowestRays = 0.1;
    private const int Halvings = 24;

    /// <summary>
    /// The disc that one round stop leaves: the fraction falls with the distance from its middle alone. Middle Foot + (Centre - Foot) / (1 - t/Z).
    /// </summary>
    /// <param name="view">The pupil.</param>
    /// <param name="stop">A round stop before the pupil.</param>
    /// <param name="fraction">Allowed fraction, above 0 and up to 1.</param>
    /// <returns>Middle and radius, mm; null where no point sees as much.</returns>
    public static (PlanePoint Centre, double Radius)? Disc(PupilView view, LightStop stop, double fraction)
    {
        if (!stop.IsCircle)
            throw new ArgumentException("The stop is not round.", nameof(stop));
        double shrink = 1 - stop.ToSensor / view.Distance;
        double cone = view.ConeRadius(stop), throat = stop.Size.Width / 2;
        return Displacement(cone, throat, fraction) is { } displacement
            ? (view.Foot + 1 / shrink * (stop.Centre - view.Foot), displacement / shrink)
            : null;
    }

    /// <summary>
    /// The region inside a tile as a convex polygon, drawn from inside so that it never promises too much. Corners clockwise or the other way round; empty where
    /// nothing is left.
    /// </summary>
    /// <param name="view">The pupil.</param>
    /// <param name="stops">The openings before this tile.</param>
    /// <param name="tile">The tile's corners, convex.</param>
    /// <param name="fraction">Allowed fraction, above 0 and up to 1.</param>
    /// <returns>The region, which may reach beyond the tile; null where every corner, and so the whole tile, sees enough.</returns>
    public static IReadOnlyList<PlanePoint>? Find(PupilView view, LightStop[] stops, IReadOnlyList<PlanePoint> tile, double fraction)
    {
        if (tile.All(corner => view.Fraction(stops, corner) >= fraction))
            return null;

        // What clears all corners of a tile clears the tile.
        LightStop[] clipping = [.. stops.Where(stop => !tile.All(corner => view.Clears(stop, corner)))];
        if (clipping is [{ IsCircle: true } round])
            return Disc(view, round, fraction) is { Radius: > 0 } disc ? Polygon(disc.Centre, disc.Radius) : [];
        PlanePoint[] within = [.. Samples(tile).Where(point => view.Fraction(clipping, point) >= fraction)];
        if (within.Length == 0)
            return [];

        // From the middle of the convex region rays meet its outline squarely; from a point near it they would run along it, and what lies between two of them is missed.
        PlanePoint middle = 1.0 / within.Length * within.Aggregate((sum, point) => sum + point);
        return Traced(view, clipping, middle, 2 * tile.Max(corner => (corner - middle).Length), fraction);
    }

    // Largest distance between the middles at which a disc still shows the fraction through an opening; null for none.
    private static double? Displacement(double cone, double throat, double fraction)
    {
        double area = fraction * Math.PI * cone * cone;
        if (ClippedDisc.WithDisc(cone, throat, 0) < area * (1 - 1e-12))
            return null;
        (double low, double high) = (Math.Abs(throat - cone), throat + cone);
        if (throat < cone)
            low = 0;
        for (int i = 0; i < 60; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = ClippedDisc.WithDisc(cone, throat, middle) >= area * (1 - 1e-12) ? (middle, high) : (low, middle);
        }
        return low;
    }

    private static List<PlanePoint> Traced(PupilView view, LightStop[] stops, PlanePoint from, double far, double fraction)
    {
        var outline = new List<PlanePoint>();
        (double Angle, PlanePoint Rim)[] first = [.. Enumerable.Range(0, FirstRays + 1).Select(i => Ray(i % FirstRays * 360.0 / FirstRays) with { Angle = i * 360.0 / FirstRays })];
        for (int i = 0; i < FirstRays; i++)
        {
            outline.Add(first[i].Rim);
            Between(first[i], first[i + 1]);
        }
        return Convex(outline, from);

        void Between((double Angle, PlanePoint Rim) a, (double Angle, PlanePoint Rim) b)
        {
            if (b.Angle - a.Angle < NarrowestRays)
                return;
            (double Angle, PlanePoint Rim) middle = Ray((a.Angle + b.Angle) / 2);
            PlanePoint side = b.Rim - a.Rim, off = middle.Rim - a.Rim;
            bool flat = Math.Abs(side.X * off.Y - side.Y * off.X) <= FinestSide * side.Length;
            if (!flat)
                Between(a, middle);
            outline.Add(middle.Rim);
            if (!flat)
                Between(middle, b);
        }

        (double Angle, PlanePoint Rim) Ray(double angle)
        {
            PlanePoint direction = new PlanePoint(1, 0).Rotated(angle);
            return (angle, from + Reach(view, stops, from, direction, far, fraction) * direction);
        }
    }

    // The region is convex, its outline only nearly so: a dent of a thousandth in a short side, taken for the edge of a half-plane, would cut off a part far away.
    // The outline runs round a point inside, so that one scan does (Graham 1972), beginning at the farthest corner, which is one of the hull's.
    private static List<PlanePoint> Convex(List<PlanePoint> outline, PlanePoint inside)
    {
        int farthest = Enumerable.Range(0, outline.Count).MaxBy(i => (outline[i] - inside).Length);
        var hull = new List<PlanePoint>();
        for (int i = 0; i <= outline.Count; i++)
        {
            PlanePoint next = outline[(farthest + i) % outline.Count];
            while (hull.Count >= 2 && !Turns(hull[^2], hull[^1], next))
                hull.RemoveAt(hull.Count - 1);
            hull.Add(next);
        }
        hull.RemoveAt(hull.Count - 1);
        return hull;

        static bool Turns(PlanePoint a, PlanePoint b, PlanePoint c) => (b.X - a.X) * (c.Y - b.Y) - (b.Y - a.Y) * (c.X - b.X) > 0;
    }

    private static double Reach(PupilView view, LightStop[] stops, PlanePoint from, PlanePoint direction, double far, double fraction)
    {
        (double low, double high) = (0, far);
        if (view.Fraction(stops, from + far * direction) >= fraction)
            return far;
        for (int i = 0; i < Halvings; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = view.Fraction(stops, from + middle * direction) >= fraction ? (middle, high) : (low, middle);
        }
        return low;
    }

    private static PlanePoint[] Polygon(PlanePoint centre, double radius) =>
        [.. Enumerable.Range(0, DiscSides).Select(i => centre + radius * new PlanePoint(1, 0).Rotated(360.0 * i / DiscSides))];

    // A grid over the tile, its edges included; what is too small for it to hit is given up.
    private static IEnumerable<PlanePoint> Samples(IReadOnlyList<PlanePoint> tile)
    {
        const int Steps = 16;
        (PlanePoint along, PlanePoint down) = (tile[1] - tile[0], tile[3] - tile[0]);
        return from y in Enumerable.Range(0, Steps + 1)
               from x in Enumerable.Range(0, Steps + 1)
               select tile[0] + x / (double)Steps * along + y / (double)Steps * down;
    }
}
