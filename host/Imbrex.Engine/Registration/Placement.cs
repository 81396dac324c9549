using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Where an upright frame lies on the canvas: canvas = (X, Y) + R(angle) * (upright - centre), R clockwise on the screen (x right,
/// y down), pixel centres at whole numbers.
/// </summary>
/// <param name="X">Canvas column of the frame's centre.</param>
/// <param name="Y">Canvas row of the frame's centre.</param>
/// <param name="Angle">Rotation on top of the quarter turns, radians clockwise.</param>
public readonly record struct Placement(double X, double Y, double Angle)
{
    /// <summary>Canvas position of an offset from the frame's centre.</summary>
    public (double X, double Y) ToCanvas(double dx, double dy)
    {
        (double sin, double cos) = Math.SinCos(Angle);
        return (X + cos * dx - sin * dy, Y + sin * dx + cos * dy);
    }

    /// <summary>Offset from the frame's centre of a canvas position.</summary>
    public (double X, double Y) ToFrame(double x, double y)
    {
        (double sin, double cos) = Math.SinCos(Angle);
        (double dx, double dy) = (x - X, y - Y);
        return (cos * dx + sin * dy, cos * dy - sin * dx);
    }
}

/// <summary>A frame with the place where the plan puts it.</summary>
/// <param name="Id">Name of the tile.</param>
/// <param name="Frame">The pixels.</param>
/// <param name="Nominal">The plan's placement.</param>
public sealed record PlacedFrame(string Id, Frame Frame, Placement Nominal);
