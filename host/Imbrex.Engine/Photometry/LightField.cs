using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Photometry;

/// <summary>A factor on linear light that changes smoothly over a frame.</summary>
internal interface ILightField
{
    /// <summary>The factor at a place.</summary>
    /// <param name="band">0, 1, 2 for R, G, B.</param>
    /// <param name="dx">Offset from the centre of the upright frame, px.</param>
    /// <param name="dy">Likewise down.</param>
    double Factor(int band, double dx, double dy);

    /// <summary>Pixels over which the factor may be taken as straight.</summary>
    int Knot => 32;
}

/// <summary>Takes out shading that was found to be fixed to the sensor.</summary>
/// <param name="shading">What was found.</param>
/// <param name="turn">The body's turn.</param>
/// <param name="radius">Half diagonal of the frame, px.</param>
internal sealed class ShadingField(SensorShading shading, Turn turn, double radius) : ILightField
{
    public double Factor(int band, double dx, double dy)
    {
        (double x, double y) = SensorShading.Place(dx, dy, turn, radius);
        return Math.Exp(-shading.LogAt(band, x, y));
    }
}
