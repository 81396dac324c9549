using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>
/// The part of the image plane inside a lens's angle of coverage: a disc, or an ellipse where the lens is tilted. It is the cut of a cone, so
/// it is convex and a rectangle lies inside if and only if its four corners do.
/// </summary>
/// <param name="Stance">Where the lens stands.</param>
/// <param name="Tangent">Tangent of half the angle of coverage, above 0: radius at infinity by focal length.</param>
public readonly record struct LightCircle(LensStance Stance, double Tangent)
{
    private const int Halvings = 60;

    /// <summary>The circle that a diameter at infinity gives.</summary>
    /// <param name="stance">Where the lens stands.</param>
    /// <param name="diameterAtInfinity">mm, above 0.</param>
    /// <param name="focalLength">f, mm, above 0.</param>
    public static LightCircle Of(LensStance stance, double diameterAtInfinity, double focalLength) =>
        new(stance, OpticsCheck.Positive(diameterAtInfinity) / 2 / OpticsCheck.Positive(focalLength));

    /// <summary>Diameter at this distance without tilt, mm.</summary>
    public double Diameter => 2 * Stance.Distance * Tangent;

    /// <summary>Whether a point lies inside; the edge counts, up to a relative 1e-12.</summary>
    public bool Holds(PlanePoint point) => Stance.FieldTangent(point) <= Tangent * (1 + 1e-12);

    /// <summary>Whether an upright rectangle around the origin lies inside.</summary>
    public bool Holds(PlaneSize format)
    {
        LightCircle circle = this;
        return new SensorPose(PlanePoint.Origin).Corners(format).All(circle.Holds);
    }

    /// <summary>The corner that lies farthest out.</summary>
    public PlanePoint FarthestCorner(PlaneSize format)
    {
        LensStance stance = Stance;
        return new SensorPose(PlanePoint.Origin).Corners(format).MaxBy(stance.FieldTangent);
    }

    /// <summary>How far the lens can still be moved along a direction before a corner of the format leaves, mm; 0 where one has left.</summary>
    /// <param name="format">Size of the format, centred on the origin.</param>
    /// <param name="direction">Direction of the lens's movement on the image plane, of length 1: (0, -1) for more rise.</param>
    public double Room(PlaneSize format, PlanePoint direction)
    {
        LightCircle circle = this;
        return Largest(4 * Diameter + Stance.Foot.Length, room => (circle with { Stance = circle.Stance with { Foot = circle.Stance.Foot + room * direction } }).Holds(format));
    }

    /// <summary>The factor on a format's sides up to which it lies inside; 0 where not even the origin does.</summary>
    public double Factor(PlaneSize format)
    {
        LightCircle circle = this;
        return Largest(4 * (Diameter + Stance.Foot.Length) / format.ShortSide, factor => circle.Holds(new PlaneSize(factor * format.Width, factor * format.Height)));
    }

    /// <summary>The smallest diameter at infinity that would hold a format, mm: what to look for in another lens of this focal length.</summary>
    public double DiameterFor(PlaneSize format, double focalLength) => 2 * focalLength * Stance.FieldTangent(FarthestCorner(format));

    /// <summary>
    /// The outline as points, clockwise seen from behind, drawn from inside: each lies inside by no more than a hair. Empty where the coverage is
    /// cut off by no closed curve (a tilt beyond the angle of coverage).
    /// </summary>
    /// <param name="count">Number of points, at least 3.</param>
    public IReadOnlyList<PlanePoint> Outline(int count = 180)
    {
        LightCircle circle = this;
        PlanePoint middle = Stance.Axis;
        double far = 100 * (Diameter + Stance.Distance);
        var points = new PlanePoint[count];
        for (int i = 0; i < count; i++)
        {
            PlanePoint direction = new PlanePoint(1, 0).Rotated(360.0 * i / count);
            double reach = Largest(far, distance => circle.Holds(middle + distance * direction));
            if (reach >= far)
                return [];
            points[i] = middle + reach * direction;
        }
        return points;
    }

    // Halving down to the last bits; the numbers that pass form one stretch from 0.
    private static double Largest(double limit, Func<double, bool> passes)
    {
        if (!passes(0))
            return 0;
        if (passes(limit))
            return limit;
        (double low, double high) = (0, limit);
        for (int i = 0; i < Halvings; i++)
        {
            double middle = (low + high) / 2;
            (low, high) = passes(middle) ? (middle, high) : (low, middle);
        }
        return low;
    }
}
