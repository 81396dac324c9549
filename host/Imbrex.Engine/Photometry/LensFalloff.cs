using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Takes out the natural falloff of a lens, cos^4 of the angle from the axis at the exit pupil (reference sheet 1.3, with what it says of the law's limits):
/// the factor is (1 + r^2 / d^2)^2 at the distance r from the axis on the image plane.
/// </summary>
/// <param name="placement">Where the frame lies on the canvas.</param>
/// <param name="axis">The lens axis on the canvas.</param>
/// <param name="distance">From the exit pupil to the image plane, px.</param>
internal sealed class LensFalloff(Placement placement, (double X, double Y) axis, double distance) : ILightField
{
    public double Factor(int band, double dx, double dy)
    {
        (double x, double y) = placement.ToCanvas(dx, dy);
        double secantSquared = 1 + ((x - axis.X) * (x - axis.X) + (y - axis.Y) * (y - axis.Y)) / (distance * distance);
        return secantSquared * secantSquared;
    }
}
