using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// How the sensor stands out of the image plane: its own tilt against the rails, and how the back sits when it is turned over. What it then records is the
/// image plane seen from the exit pupil (<see cref="FrameGrid.Cast"/>).
/// </summary>
/// <remarks>
/// Signs: both frames have x to the right and y down, seen from behind, and z towards the lens, which makes them right-handed; an angle is positive by the
/// right-hand rule. So a point (x, y) comes to the depth z = tan(about x) y - tan(about y) x: positive tilt about x moves the lower edge towards
/// the lens, positive tilt about y the left edge. Lengths are those on the rail plane: what a tilt foreshortens (1.5e-6 at 0.1 degree, common to all tiles) is
/// taken to be in the sensor's scale.
/// </remarks>
public sealed record SensorStance
{
    /// <summary>Tilt of the sensor about the body's x, degrees; the body's axes turn with it.</summary>
    public double TiltXDeg { get; init; }

    /// <summary>Tilt of the sensor about the body's y, degrees.</summary>
    public double TiltYDeg { get; init; }

    /// <summary>Tilt of the rails about the image plane's x when the back is turned over, degrees; it swings about the lens axis.</summary>
    public double SeatTiltXDeg { get; init; }

    /// <summary>Tilt of the rails about the image plane's y when the back is turned over, degrees.</summary>
    public double SeatTiltYDeg { get; init; }

    /// <summary>How much nearer to the lens the back sits when it is turned over, mm.</summary>
    public double SeatDepthMm { get; init; }

    /// <summary>Distance from the exit pupil, which is on the lens axis, to the image plane, mm.</summary>
    public double ExitPupilMm { get; init; } = 150;

    /// <summary>The depth of a tile's pixels.</summary>
    /// <param name="fromAxis">The tile's centre in the upright scene, from the lens axis, px.</param>
    /// <param name="storedRotation">Degrees from the stored frame to the scene.</param>
    /// <param name="sensorRotation">Degrees from the sensor, the body upright, to the scene.</param>
    /// <param name="turnedOver">Whether the back is turned over.</param>
    /// <param name="pxPerMm">Scale.</param>
    internal SensorDepth DepthOf((double X, double Y) fromAxis, double storedRotation, double sensorRotation, bool turnedOver, double pxPerMm)
    {
        (double x, double y) = Slope(TiltXDeg, TiltYDeg);
        (x, y) = Turned(x, y, sensorRotation);
        double centre = 0;
        if (turnedOver)
        {
            (double seatX, double seatY) = Slope(SeatTiltXDeg, SeatTiltYDeg);
            centre = SeatDepthMm * pxPerMm + seatX * fromAxis.X + seatY * fromAxis.Y;
            (x, y) = (x + seatX, y + seatY);
        }
        (x, y) = Turned(x, y, -storedRotation);
        return new(centre, x, y);
    }

    internal void Validate()
    {
        foreach ((string name, double angle) in new[] { (nameof(TiltXDeg), TiltXDeg), (nameof(TiltYDeg), TiltYDeg), (nameof(SeatTiltXDeg), SeatTiltXDeg), (nameof(SeatTiltYDeg), SeatTiltYDeg) })
            CameraFaults.Require(name, angle, Math.Abs(angle) <= 5);
        CameraFaults.Require(nameof(ExitPupilMm), ExitPupilMm, ExitPupilMm is >= 10 and <= 10_000);
        CameraFaults.Require(nameof(SeatDepthMm), SeatDepthMm, Math.Abs(SeatDepthMm) <= ExitPupilMm / 10);
    }

    // In the upright scene, where both axes point the other way.
    private static (double X, double Y) Slope(double aboutX, double aboutY) => (Math.Tan(aboutY * Math.PI / 180), -Math.Tan(aboutX * Math.PI / 180));

    private static (double X, double Y) Turned(double x, double y, double degrees)
    {
        (double sin, double cos) = Angles.SinCosDegrees(degrees);
        return (cos * x - sin * y, sin * x + cos * y);
    }
}
