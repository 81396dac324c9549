using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>Where things point and lie, in the photographer's words.</summary>
internal static class Bearings
{
    // A pose that is off a quarter turn by no more than this is told as that quarter: seats and turns have small errors.
    private const double Askew = 1;

    // Nearer to the middle than these parts of half the format, a tile shows the middle, or lies towards it.
    private const double Middle = 0.15;
    private const double Inner = 0.5;

    private static readonly string[] Ways = ["up", "to your right", "down", "to your left"];

    /// <summary>Which way the body's top points, seen from behind.</summary>
    public static string BodyTop(SensorPose pose)
    {
        double angle = (pose.TotalRotation + 360) % 360;
        int quarter = (int)Math.Round(angle / 90) % 4;
        double rest = Angles.Wrap(angle - 90 * quarter);
        return Math.Abs(rest) <= Askew
            ? Ways[quarter]
            : FormattableString.Invariant($"{Ways[quarter]}, {Math.Abs(rest):0.#}° {(rest > 0 ? "clockwise" : "anticlockwise")}");
    }

    /// <summary>Which part of the upright scene the sensor sees: it stands the other way round on the image plane, so u = -x, v = -y.</summary>
    public static string ScenePart(PlanePoint centre, PlaneSize format)
    {
        string down = Place(-centre.Y / (format.Height / 2), "upper", "lower"), across = Place(-centre.X / (format.Width / 2), "left", "right");
        return (down, across) switch
        {
            ("", "") => "middle",
            ("", _) => across,
            (_, "") => $"{down} middle",
            _ => $"{down} {across}",
        };
    }

    private static string Place(double part, string before, string after) => Math.Abs(part) switch
    {
        < Middle => "",
        < Inner when before == "left" => part < 0 ? "inner left" : "inner right",
        _ => part < 0 ? before : after,
    };
}
