namespace Imbrex.Engine.Registration;

/// <summary>How far tiles may lie from the plan.</summary>
/// <param name="Pixels">Position on each axis, px.</param>
/// <param name="Radians">Angle.</param>
/// <param name="Radius">Half diagonal of a frame, px: an angle moves a corner by this much times the angle.</param>
internal readonly record struct SearchWindow(double Pixels, double Radians, double Radius)
{
    /// <summary>
    /// How far a shared spot may be from where it is expected, on each axis: both tiles may be shifted, and turned, in opposite senses.
    /// </summary>
    public double Reach => 2 * (Pixels + Radians * Radius);
}
