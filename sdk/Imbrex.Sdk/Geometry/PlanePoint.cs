namespace Imbrex.Sdk.Geometry;

/// <summary>
/// A point on the image plane in millimetres: origin on the lens axis at zero movement, seen from behind the camera,
/// <paramref name="X"/> to the right, <paramref name="Y"/> down. The projected image is upside down there; the finished
/// picture's coordinates are u = -x, v = -y.
/// </summary>
/// <param name="X">Millimetres to the photographer's right.</param>
/// <param name="Y">Millimetres down.</param>
public readonly record struct PlanePoint(double X, double Y)
{
    /// <summary>The lens axis at zero movement.</summary>
    public static PlanePoint Origin => default;

    /// <summary>Sum of two displacements.</summary>
    public static PlanePoint operator +(PlanePoint a, PlanePoint b) => new(a.X + b.X, a.Y + b.Y);

    /// <summary>Displacement from <paramref name="b"/> to <paramref name="a"/>.</summary>
    public static PlanePoint operator -(PlanePoint a, PlanePoint b) => new(a.X - b.X, a.Y - b.Y);

    /// <summary>The same displacement the other way: also the half turn about the origin.</summary>
    public static PlanePoint operator -(PlanePoint a) => new(-a.X, -a.Y);

    /// <summary>A displacement made longer or shorter.</summary>
    public static PlanePoint operator *(double factor, PlanePoint a) => new(factor * a.X, factor * a.Y);

    /// <summary>Distance from the lens axis, mm.</summary>
    public double Length => Math.Sqrt(X * X + Y * Y);

    /// <summary>This displacement rotated clockwise as seen from behind (x right, y down).</summary>
    /// <param name="degrees">Angle in degrees; multiples of 90 are exact.</param>
    public PlanePoint Rotated(double degrees)
    {
        (double sin, double cos) = Angles.SinCosDegrees(degrees);
        return new(cos * X - sin * Y, sin * X + cos * Y);
    }
}
