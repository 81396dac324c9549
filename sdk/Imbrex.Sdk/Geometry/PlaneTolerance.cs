namespace Imbrex.Sdk.Geometry;

/// <summary>How far a sensor's centre may be from where it should be, mm on the image plane. The sides of the plane stay what they are when the body is turned.</summary>
/// <param name="X">Millimetres along x, at least 0.</param>
/// <param name="Y">Millimetres along y, at least 0.</param>
public readonly record struct PlaneTolerance(double X, double Y)
{
    /// <summary>The larger of the two, mm.</summary>
    public double Worst => Math.Max(X, Y);

    /// <summary>
    /// Along a direction, mm: the two are the half axes of an ellipse, so that a tolerance alike both ways is the same in every direction.
    /// </summary>
    /// <param name="degrees">The direction, clockwise from x.</param>
    public double Along(double degrees)
    {
        (double sin, double cos) = Angles.SinCosDegrees(degrees);
        return X == Y ? X : Math.Sqrt(X * X * cos * cos + Y * Y * sin * sin);
    }

    /// <summary>A tolerance alike both ways, mm.</summary>
    public static implicit operator PlaneTolerance(double both) => new(both, both);
}
