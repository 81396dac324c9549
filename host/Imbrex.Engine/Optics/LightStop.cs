using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>
/// An opening between the lens and the sensor, such as the throat of the body's mount, where it stands for one exposure.
/// </summary>
/// <param name="IsCircle">Whether it is round; otherwise a rectangle.</param>
/// <param name="Size">Diameter twice, or width and height along its own sides, mm, above 0.</param>
/// <param name="ToSensor">How far it stands before the sensor, mm, at least 0.</param>
/// <param name="Centre">Its centre on the image plane, mm.</param>
/// <param name="Rotation">How a rectangle is turned, degrees clockwise seen from behind.</param>
/// <param name="MovesWithBody">Whether it goes where the sensor goes.</param>
public readonly record struct LightStop(bool IsCircle, PlaneSize Size, double ToSensor, PlanePoint Centre = default, double Rotation = 0, bool MovesWithBody = false)
{
    /// <summary>A round opening.</summary>
    /// <param name="diameter">mm, above 0.</param>
    /// <param name="toSensor">mm before the sensor, at least 0.</param>
    /// <param name="centre">Its centre on the image plane, mm.</param>
    public static LightStop Round(double diameter, double toSensor, PlanePoint centre = default) => new(true, new(diameter, diameter), toSensor, centre);

    /// <summary>The area of a disc that the opening lets through; the disc's centre is given from the opening's, along the opening's own sides.</summary>
    internal double Passed(double radius, PlanePoint centre) => IsCircle
        ? ClippedDisc.WithDisc(radius, Size.Width / 2, centre.Length)
        : ClippedDisc.WithRectangle(radius, centre, Size);

    /// <summary>
    /// The stretch of a line that passes the opening, in units of the direction's length; empty where from is beyond to. Start and direction are
    /// given from the opening's centre, along its own sides.
    /// </summary>
    internal (double From, double To) Chord(PlanePoint start, PlanePoint direction)
    {
        if (IsCircle)
        {
            double radius = Size.Width / 2;
            double square = direction.X * direction.X + direction.Y * direction.Y;
            double along = start.X * direction.X + start.Y * direction.Y;
            double inside = along * along - square * (start.X * start.X + start.Y * start.Y - radius * radius);
            return inside < 0 ? (1, 0) : ((-along - Math.Sqrt(inside)) / square, (-along + Math.Sqrt(inside)) / square);
        }
        (double from, double to) = (double.NegativeInfinity, double.PositiveInfinity);
        foreach ((double s, double d, double half) in new[] { (start.X, direction.X, Size.Width / 2), (start.Y, direction.Y, Size.Height / 2) })
        {
            if (d == 0 && Math.Abs(s) > half)
                return (1, 0);
            if (d == 0)
                continue;
            (double a, double b) = ((-half - s) / d, (half - s) / d);
            (from, to) = (Math.Max(from, Math.Min(a, b)), Math.Min(to, Math.Max(a, b)));
        }
        return (from, to);
    }
}
