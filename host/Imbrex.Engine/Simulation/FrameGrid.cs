using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>Where the pixels of a frame fall in the scene: scene = origin + R * pixel, R clockwise on the screen.</summary>
internal readonly record struct FrameGrid(double OriginX, double OriginY, double Cos, double Sin)
{
    /// <summary>The grid of a frame whose centre ((w-1)/2, (h-1)/2) lies at a point of the scene.</summary>
    public static FrameGrid OfCentre(double x, double y, double rotationDegrees, int width, int height)
    {
        (double sin, double cos) = Angles.SinCosDegrees(rotationDegrees);
        (double cx, double cy) = ((width - 1) / 2.0, (height - 1) / 2.0);
        return new(x - (cos * cx - sin * cy), y - (sin * cx + cos * cy), cos, sin);
    }

    public (double X, double Y) Map(double x, double y) => (OriginX + Cos * x - Sin * y, OriginY + Sin * x + Cos * y);

    /// <summary>The whole scene pixels that a block of the frame touches, without any border.</summary>
    public PixelBlock Bounds(PixelBlock block)
    {
        (double x0, double y0) = Map(block.X, block.Y);
        (double dx, double dy) = (block.Width - 1, block.Height - 1);
        (double spanX, double spanY) = (Math.Abs(Cos) * dx + Math.Abs(Sin) * dy, Math.Abs(Sin) * dx + Math.Abs(Cos) * dy);
        double left = x0 + Math.Min(Cos * dx, 0) + Math.Min(-Sin * dy, 0);
        double top = y0 + Math.Min(Sin * dx, 0) + Math.Min(Cos * dy, 0);
        (int x, int y) = ((int)Math.Floor(left), (int)Math.Floor(top));
        return new(x, y, (int)Math.Floor(left + spanX) - x + 1, (int)Math.Floor(top + spanY) - y + 1);
    }
}
