using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>Areas of a disc that is partly covered. Lengths in one unit, areas in its square.</summary>
public static class ClippedDisc
{
    /// <summary>
    /// Area common to two discs: r^2 acos((d^2 + r^2 - R^2) / (2 d r)) + R^2 acos((d^2 + R^2 - r^2) / (2 d R)) less half the root of
    /// (-d + r + R)(d + r - R)(d - r + R)(d + r + R) (Weisstein, Circle-Circle Intersection, MathWorld).
    /// </summary>
    /// <param name="radius">r, above 0.</param>
    /// <param name="otherRadius">R, above 0.</param>
    /// <param name="distance">d between the centres, at least 0.</param>
    public static double WithDisc(double radius, double otherRadius, double distance)
    {
        (double r, double big, double d) = (OpticsCheck.Positive(radius), OpticsCheck.Positive(otherRadius), OpticsCheck.NotNegative(distance));
        if (d >= r + big)
            return 0;
        if (d <= Math.Abs(big - r))
            return Math.PI * Math.Min(r, big) * Math.Min(r, big);
        double root = (-d + r + big) * (d + r - big) * (d - r + big) * (d + r + big);
        return r * r * Acos((d * d + r * r - big * big) / (2 * d * r))
            + big * big * Acos((d * d + big * big - r * r) / (2 * d * big))
            - Math.Sqrt(Math.Max(0, root)) / 2;
    }

    /// <summary>
    /// Area common to a disc and an upright rectangle around the origin, exactly: the rectangle is four quadrants added and taken away,
    /// and a disc in a quadrant is made of circular segments and one integral of sqrt(1 - x^2) (derived here).
    /// </summary>
    /// <param name="radius">r, above 0.</param>
    /// <param name="centre">Centre of the disc.</param>
    /// <param name="size">Width and height of the rectangle, above 0.</param>
    public static double WithRectangle(double radius, PlanePoint centre, PlaneSize size)
    {
        OpticsCheck.Positive(radius);
        double left = (-size.Width / 2 - centre.X) / radius, right = (size.Width / 2 - centre.X) / radius;
        double top = (-size.Height / 2 - centre.Y) / radius, bottom = (size.Height / 2 - centre.Y) / radius;
        double units = Quadrant(left, top) - Quadrant(right, top) - Quadrant(left, bottom) + Quadrant(right, bottom);
        return Math.Max(0, units) * radius * radius;
    }

    // Area of the unit disc with x >= x0 and y >= y0.
    private static double Quadrant(double x0, double y0)
    {
        if (x0 * x0 + y0 * y0 >= 1)
        {
            // The corner lies outside: what is left is whole segments.
            return (x0 >= 0, y0 >= 0) switch
            {
                (true, true) => 0,
                (false, true) => Segment(y0),
                (true, false) => Segment(x0),
                _ => Math.PI - Segment(-x0) - Segment(-y0),
            };
        }
        double end = Math.Sqrt(1 - y0 * y0);
        double under = UnderArc(end) - UnderArc(x0) - y0 * (end - x0);
        return y0 < 0 ? under + Segment(end) : under;
    }

    // Integral of sqrt(1 - x^2) from 0.
    private static double UnderArc(double x) => (x * Math.Sqrt(Math.Max(0, 1 - x * x)) + Math.Asin(Math.Clamp(x, -1, 1))) / 2;

    // Area of the unit disc beyond the line at a distance.
    private static double Segment(double distance) => distance >= 1 ? 0 : distance <= -1 ? Math.PI : Math.Acos(distance) - distance * Math.Sqrt(1 - distance * distance);

    private static double Acos(double x) => Math.Acos(Math.Clamp(x, -1, 1));
}
