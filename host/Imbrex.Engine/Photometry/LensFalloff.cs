using Imbrex.Engine.Optics;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Takes out the natural falloff of a lens, cos^4 of the angle from the axis at the exit pupil; see <see cref="NaturalFalloff"/> for the law's limits.
/// </summary>
/// <param name="placement">Where the frame lies on the canvas.</param>
/// <param name="axis">The lens axis on the canvas.</param>
/// <param name="distance">From the exit pupil to the image plane, px.</param>
internal sealed class LensFalloff(Placement placement, (double X, double Y) axis, double distance) : ILightField
{
    public double Factor(int band, double dx, double dy)
    {
        (double x, double y) = placement.ToCanvas(dx, dy);
        return 1 / NaturalFalloff.Cos4(Math.Sqrt((x - axis.X) * (x - axis.X) + (y - axis.Y) * (y - axis.Y)) / distance);
    }
}
