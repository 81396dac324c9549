using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>The pixel grid of the finished picture: the format at the sensor's own scale, in the upright scene frame.</summary>
/// <param name="LeftMm">Left edge, u = -x, mm.</param>
/// <param name="TopMm">Top edge, v = -y, mm.</param>
/// <param name="Width">Pixels across.</param>
/// <param name="Height">Pixels down.</param>
/// <param name="PxPerMm">Pixels per millimetre on the image plane.</param>
public sealed record Canvas(double LeftMm, double TopMm, int Width, int Height, double PxPerMm)
{
    private const int LargestSide = 1_000_000;

    /// <summary>The canvas of a plan: its format, centred on the lens axis.</summary>
    /// <exception cref="RefusalException">The picture would be larger than can be written.</exception>
    public static Canvas Of(PlanDocument plan)
    {
        PlaneSize format = plan.Format.ToSize();
        double pxPerMm = plan.TheSensor().PxPerMm();
        double width = Math.Round(format.Width * pxPerMm), height = Math.Round(format.Height * pxPerMm);
        if (width is < 1 or > LargestSide || height is < 1 or > LargestSide)
            throw new RefusalException($"The picture would be {width} x {height} px.", "$.format", $"A side may have 1 to {LargestSide} px: correct the format or the sensor's size.");
        return new(-format.Width / 2, -format.Height / 2, (int)width, (int)height, pxPerMm);
    }

    /// <summary>Another rectangle of the same pixels.</summary>
    /// <param name="x">Its first column on this canvas; it may lie outside.</param>
    /// <param name="y">Its first row.</param>
    /// <param name="width">Its columns.</param>
    /// <param name="height">Its rows.</param>
    /// <exception cref="RefusalException">It is larger than can be written, or empty.</exception>
    public Canvas Part(int x, int y, int width, int height)
    {
        if (width is < 1 or > LargestSide || height is < 1 or > LargestSide)
            throw new RefusalException($"The picture would be {width} x {height} px.", "--crop", $"A side may have 1 to {LargestSide} px: choose another crop.");
        return this with { LeftMm = LeftMm + x / PxPerMm, TopMm = TopMm + y / PxPerMm, Width = width, Height = height };
    }

    /// <summary>Canvas position of a point on the image plane (design, section 3).</summary>
    public (double X, double Y) ToPixel(PlanePoint point) => ((-point.X - LeftMm) * PxPerMm - 0.5, (-point.Y - TopMm) * PxPerMm - 0.5);

    /// <summary>The point on the image plane at a canvas position.</summary>
    public PlanePoint ToPlane(double x, double y) => new(-(x + 0.5) / PxPerMm - LeftMm, -(y + 0.5) / PxPerMm - TopMm);

    /// <summary>The pixel on the lens axis at zero movement.</summary>
    public (double X, double Y) Axis => ToPixel(PlanePoint.Origin);
}
