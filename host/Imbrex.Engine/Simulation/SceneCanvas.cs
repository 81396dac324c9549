using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>The finished picture's grid of pixels: where the image plane lies in it, and how much of it the format fills.</summary>
/// <remarks>Derived here once more, from the design and not from the merge, because a truth must not come from the code that it judges.</remarks>
/// <param name="PxPerMm">Pixels per millimetre, the sensor's.</param>
/// <param name="LeftMm">Left edge in the scene frame (u = -x), mm.</param>
/// <param name="TopMm">Top edge in the scene frame (v = -y), mm.</param>
/// <param name="WidthPx">Pixels across.</param>
/// <param name="HeightPx">Pixels down.</param>
public readonly record struct SceneCanvas(double PxPerMm, double LeftMm, double TopMm, int WidthPx, int HeightPx)
{
    /// <summary>The canvas of a plan's format, which is centred on the lens axis.</summary>
    public static SceneCanvas Of(PlanDocument plan)
    {
        double scale = plan.TheSensor().PxPerMm();
        PlaneSize format = plan.Format.ToSize();
        return new(scale, -format.Width / 2, -format.Height / 2, (int)Math.Round(format.Width * scale), (int)Math.Round(format.Height * scale));
    }

    /// <summary>The pixel that a point of the image plane is cast on; the picture is turned upright by u = -x, v = -y.</summary>
    public (double X, double Y) PixelOf(PlanePoint point) =>
        ((-point.X - LeftMm) * PxPerMm - 0.5, (-point.Y - TopMm) * PxPerMm - 0.5);

    /// <summary>The pixel on the lens axis at zero movement.</summary>
    public (double X, double Y) Axis => PixelOf(PlanePoint.Origin);
}
