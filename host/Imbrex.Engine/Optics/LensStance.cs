using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>
/// Where the lens stands before the image plane. The lens turns about its own centre, and its distance is kept as measured square to the image plane.
/// </summary>
/// <param name="Foot">Foot of the perpendicular from the lens on the image plane, mm: (shift, -rise).</param>
/// <param name="Distance">v, from the lens (its rear principal plane) to the image plane, mm.</param>
/// <param name="Slope">Direction of the lens axis: how far it goes in x and y for each mm towards the image plane.</param>
/// <param name="PupilDistance">Z, from the exit pupil to the image plane, mm.</param>
public readonly record struct LensStance(PlanePoint Foot, double Distance, PlanePoint Slope, double PupilDistance)
{
    /// <summary>The stance for movements of the lens standard; for movements of the rear give the opposite.</summary>
    /// <param name="distance">v, mm, above 0.</param>
    /// <param name="pupilDistance">Z, mm, above 0.</param>
    /// <param name="rise">mm upwards.</param>
    /// <param name="shift">mm to the photographer's right.</param>
    /// <param name="tiltDeg">Degrees, above 0 where the standard's top leans towards the scene; between -60 and 60.</param>
    /// <param name="swingDeg">Degrees clockwise seen from above, so that the lens looks to the right; between -60 and 60.</param>
    public static LensStance Of(double distance, double pupilDistance, double rise = 0, double shift = 0, double tiltDeg = 0, double swingDeg = 0) => new(
        new(shift, -rise), OpticsCheck.Positive(distance), new(-Tan(swingDeg), -Tan(tiltDeg)), OpticsCheck.Positive(pupilDistance));

    /// <summary>Where the lens axis meets the image plane, mm: 5 degrees of tilt at 150 mm move it by 13.1 mm.</summary>
    public PlanePoint Axis => Foot + Distance * Slope;

    /// <summary>Foot of the perpendicular from the exit pupil, which a tilt takes along where it does not lie at the lens's centre.</summary>
    public PlanePoint PupilFoot => Foot + (Distance - PupilDistance) * Slope;

    /// <summary>Tangent of the angle at the lens between its axis and the ray to a point; positive infinity at a right angle and beyond.</summary>
    public double FieldTangent(PlanePoint point)
    {
        PlanePoint q = point - Foot;
        double along = q.X * Slope.X + q.Y * Slope.Y + Distance;
        if (along <= 0)
            return double.PositiveInfinity;

        // Vector product of the ray (q, v) and the axis (slope, 1), whose length by the scalar product is the tangent.
        double x = q.Y - Distance * Slope.Y, y = Distance * Slope.X - q.X, z = q.X * Slope.Y - q.Y * Slope.X;
        return Math.Sqrt(x * x + y * y + z * z) / along;
    }

    /// <summary>Distance from the foot of the exit pupil by distance of the pupil: the slope that natural falloff goes by where nothing is tilted.</summary>
    public double PupilSlope(PlanePoint point) => (point - PupilFoot).Length / PupilDistance;

    /// <summary>Light at a point by the small-pupil formula (<see cref="NaturalFalloff.Tilted"/>), 1 straight behind an untilted lens.</summary>
    public double SmallPupilLight(PlanePoint point)
    {
        double slope = PupilSlope(point);
        double tangent = (this with { Foot = PupilFoot, Distance = PupilDistance }).FieldTangent(point);
        return NaturalFalloff.Tilted(Math.Max(1e-6, 1 / Math.Sqrt(1 + tangent * tangent)), 1 / Math.Sqrt(1 + slope * slope));
    }

    private static double Tan(double degrees) => degrees == 0 ? 0 : Math.Tan(OpticsCheck.Between(degrees, -60, 60) * Math.PI / 180);
}
