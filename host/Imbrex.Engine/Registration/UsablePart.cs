using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Registration;

/// <summary>
/// The part of a frame to which the openings before the sensor leave enough light: a convex polygon. What lies outside is darkened in this frame alone, and
/// must count neither as the scene nor as the sensor's own shading.
/// </summary>
public sealed class UsablePart
{
    private readonly HalfPlane[] _sides;

    /// <summary>Takes the polygon's corners, in order.</summary>
    /// <param name="corners">Offsets from the centre of the upright frame, px.</param>
    public UsablePart(IReadOnlyList<PlanePoint> corners) => (Corners, _sides) = (corners, [.. HalfPlane.Of(corners)]);

    /// <summary>Offsets of the corners from the centre of the upright frame, px.</summary>
    public IReadOnlyList<PlanePoint> Corners { get; }

    /// <summary>Whether a place lies in it.</summary>
    public bool Holds(double x, double y) => Array.TrueForAll(_sides, side => side.Holds(new(x, y)));

    /// <summary>Whether a rectangle lies in it: it does when its corners do.</summary>
    public bool Holds(double left, double top, double right, double bottom) =>
        Holds(left, top) && Holds(right, top) && Holds(left, bottom) && Holds(right, bottom);
}
