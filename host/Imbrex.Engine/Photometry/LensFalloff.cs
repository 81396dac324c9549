using Imbrex.Engine.Optics;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Takes out the natural falloff of a lens by the small-pupil formula, cos^4 of the angle where nothing is tilted; see <see cref="NaturalFalloff"/> for
/// the law's limits. Movements go with the lens's stance.
/// </summary>
/// <param name="placement">Where the frame lies on the canvas.</param>
/// <param name="canvas">The canvas.</param>
/// <param name="stance">Where the lens stood.</param>
internal sealed class LensFalloff(Placement placement, Canvas canvas, LensStance stance) : ILightField
{
    public double Factor(int band, double dx, double dy)
    {
        (double x, double y) = placement.ToCanvas(dx, dy);
        return 1 / stance.SmallPupilLight(canvas.ToPlane(x, y));
    }
}
