using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>How much of the scene a length on the image plane takes in. By the image distance, not by the focal length: close up the view narrows.</summary>
public static class AngleOfView
{
    /// <summary>2 atan(w / (2 v)), degrees, of a length that is centred on the lens axis (any text of optics).</summary>
    /// <param name="length">w, mm, above 0.</param>
    /// <param name="imageDistance">v, mm, above 0.</param>
    public static double Centred(double length, double imageDistance) => Between(-OpticsCheck.Positive(length) / 2, length / 2, imageDistance);

    /// <summary>Angle between the rays to two places on a line through the lens's foot on the image plane, degrees: atan(to / v) - atan(from / v).</summary>
    /// <param name="from">Where the length begins, mm from the foot of the perpendicular from the lens.</param>
    /// <param name="to">Where it ends, mm.</param>
    /// <param name="imageDistance">v, mm, above 0.</param>
    public static double Between(double from, double to, double imageDistance) =>
        (Math.Atan(to / OpticsCheck.Positive(imageDistance)) - Math.Atan(from / imageDistance)) * 180 / Math.PI;

    /// <summary>Angle between the rays to two points of the image plane, degrees, by their scalar product.</summary>
    /// <param name="a">A point, mm.</param>
    /// <param name="b">Another.</param>
    /// <param name="foot">Foot of the perpendicular from the lens, mm.</param>
    /// <param name="imageDistance">v, mm, above 0.</param>
    public static double BetweenPoints(PlanePoint a, PlanePoint b, PlanePoint foot, double imageDistance)
    {
        OpticsCheck.Positive(imageDistance);
        (PlanePoint p, PlanePoint q) = (a - foot, b - foot);
        double square = imageDistance * imageDistance;
        double cos = (p.X * q.X + p.Y * q.Y + square) / Math.Sqrt((p.X * p.X + p.Y * p.Y + square) * (q.X * q.X + q.Y * q.Y + square));
        return Math.Acos(Math.Clamp(cos, -1, 1)) * 180 / Math.PI;
    }

    /// <summary>
    /// Focal length that gives the same view, measured on the diagonal and focused at the same distance, on another format: its image distance
    /// is v d' / d, and the lens equation gives f' = 1 / (1/u + 1/v').
    /// </summary>
    /// <param name="imageDistance">v on the format that is used, mm, above 0.</param>
    /// <param name="diagonal">d of that format, mm, above 0.</param>
    /// <param name="otherDiagonal">d' of the other format, mm, above 0.</param>
    /// <param name="objectDistance">u, mm, above 0; positive infinity is allowed.</param>
    public static double EquivalentFocalLength(double imageDistance, double diagonal, double otherDiagonal, double objectDistance)
    {
        double other = OpticsCheck.Positive(imageDistance) * OpticsCheck.Positive(otherDiagonal) / OpticsCheck.Positive(diagonal);
        return objectDistance > 0 ? 1 / (1 / objectDistance + 1 / other) : throw new ArgumentOutOfRangeException(nameof(objectDistance), objectDistance, "The distance must be above 0.");
    }
}
