using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Where an upright frame lies on the canvas: canvas = (X, Y) + R(angle) * warp(upright - centre), R clockwise on the screen (x right,
/// y down), pixel centres at whole numbers.
/// </summary>
/// <param name="X">Canvas column of the frame's centre.</param>
/// <param name="Y">Canvas row of the frame's centre.</param>
/// <param name="Angle">Rotation on top of the quarter turns, radians clockwise.</param>
/// <param name="Warp">What bends the frame beyond shift and rotation; the default leaves it as it is.</param>
public readonly record struct Placement(double X, double Y, double Angle, Warp Warp = default)
{
    /// <summary>Canvas position of an offset from the frame's centre.</summary>
    public (double X, double Y) ToCanvas(double dx, double dy)
    {
        (double sin, double cos) = Math.SinCos(Angle);
        (dx, dy) = Warp.Apply(dx, dy);
        return (X + cos * dx - sin * dy, Y + sin * dx + cos * dy);
    }

    /// <summary>Offset from the frame's centre of a canvas position.</summary>
    public (double X, double Y) ToFrame(double x, double y)
    {
        (double sin, double cos) = Math.SinCos(Angle);
        (double dx, double dy) = (x - X, y - Y);
        return Warp.Undo(cos * dx + sin * dy, cos * dy - sin * dx);
    }
}

/// <summary>
/// A plane seen askew: d becomes (I + E) d / (1 + g . d), with d the offset from the frame's centre in upright pixels. All zero is no change; a
/// scale s is E = (s - 1) I; a tilted sensor gives all six, small.
/// </summary>
/// <param name="Xx">First row of E.</param>
/// <param name="Xy">First row of E.</param>
/// <param name="Yx">Second row of E.</param>
/// <param name="Yy">Second row of E.</param>
/// <param name="Gx">g, 1/px.</param>
/// <param name="Gy">g, 1/px.</param>
public readonly record struct Warp(double Xx, double Xy, double Yx, double Yy, double Gx, double Gy)
{
    /// <summary>Whether it changes nothing.</summary>
    public bool IsNone => this == default;

    /// <summary>A change of size only.</summary>
    /// <param name="scale">Canvas pixels for each of the frame's.</param>
    public static Warp OfScale(double scale) => new(scale - 1, 0, 0, scale - 1, 0, 0);

    internal (double X, double Y) Apply(double dx, double dy)
    {
        double w = 1 / (1 + Gx * dx + Gy * dy);
        return ((dx + Xx * dx + Xy * dy) * w, (dy + Yx * dx + Yy * dy) * w);
    }

    // From (I + E) d = v (1 + g . d): (I + E - v g') d = v.
    internal (double X, double Y) Undo(double vx, double vy)
    {
        double a = 1 + Xx - vx * Gx, b = Xy - vx * Gy, c = Yx - vy * Gx, d = 1 + Yy - vy * Gy, det = a * d - b * c;
        return ((d * vx - b * vy) / det, (a * vy - c * vx) / det);
    }
}

/// <summary>A frame with the place where the plan puts it.</summary>
/// <param name="Id">Name of the tile.</param>
/// <param name="Frame">The pixels.</param>
/// <param name="Nominal">The plan's placement.</param>
public sealed record PlacedFrame(string Id, Frame Frame, Placement Nominal)
{
    /// <summary>How the body stood, by the plan.</summary>
    public BodyState Body { get; init; }

    /// <summary>The part with enough light; null for all of it.</summary>
    public UsablePart? Usable { get; init; }
}

/// <summary>How the body stood for a tile.</summary>
/// <param name="TurnDeg">The body's turn, the turned-over back included, degrees clockwise.</param>
/// <param name="BackTurned">Whether the back was turned over.</param>
public readonly record struct BodyState(double TurnDeg, bool BackTurned);
