using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// Where the pixels of a frame fall in the scene: scene = (origin + M * pixel) / (1 + g . pixel). Without tilt g is zero and M a rotation, clockwise on
/// the screen, times a scale.
/// </summary>
internal readonly record struct FrameGrid(double OriginX, double OriginY, double Xx, double Xy, double Yx, double Yy, double Gx = 0, double Gy = 0)
{
    /// <summary>The grid of a frame whose centre ((w-1)/2, (h-1)/2) lies at a point of the scene.</summary>
    public static FrameGrid OfCentre(double x, double y, double rotationDegrees, int width, int height, double scale = 1)
    {
        (double sin, double cos) = Angles.SinCosDegrees(rotationDegrees);
        (sin, cos) = (scale * sin, scale * cos);
        (double cx, double cy) = ((width - 1) / 2.0, (height - 1) / 2.0);
        return new(x - (cos * cx - sin * cy), y - (sin * cx + cos * cy), cos, -sin, sin, cos);
    }

    /// <summary>
    /// The frame's shadow on the image plane where its sensor stands out of that plane: a ray from the exit pupil, a distance D before the foot A of
    /// the lens axis, through a sensor point P at depth z (towards the lens) meets the image plane at A + (P - A) D / (D - z).
    /// </summary>
    /// <param name="depth">Where the sensor stands.</param>
    /// <param name="width">Columns of the frame.</param>
    /// <param name="height">Rows of the frame.</param>
    /// <param name="axisX">Foot of the lens axis in the scene, px.</param>
    /// <param name="axisY">Foot of the lens axis in the scene, px.</param>
    /// <param name="distance">D, px.</param>
    public FrameGrid Cast(SensorDepth depth, int width, int height, double axisX, double axisY, double distance)
    {
        if (depth == default)
            return this;
        // D - z = n + n g . pixel, with the depth told from the frame's centre.
        double n = distance - depth.AtCentre + depth.PerPixelX * (width - 1) / 2.0 + depth.PerPixelY * (height - 1) / 2.0;
        (double gx, double gy, double part) = (-depth.PerPixelX / n, -depth.PerPixelY / n, distance / n);
        return new(axisX + (OriginX - axisX) * part, axisY + (OriginY - axisY) * part,
            Xx * part + axisX * gx, Xy * part + axisX * gy, Yx * part + axisY * gx, Yy * part + axisY * gy, gx, gy);
    }

    /// <summary>The grid of a frame whose pixel p sees what this one's p + (x, y) sees.</summary>
    public FrameGrid Moved(double x, double y)
    {
        double w = 1 + Gx * x + Gy * y;
        return new((OriginX + Xx * x + Xy * y) / w, (OriginY + Yx * x + Yy * y) / w, Xx / w, Xy / w, Yx / w, Yy / w, Gx / w, Gy / w);
    }

    public (double X, double Y) Map(double x, double y)
    {
        (double mx, double my) = (OriginX + Xx * x + Xy * y, OriginY + Yx * x + Yy * y);
        if (Gx == 0 && Gy == 0)
            return (mx, my);
        double w = 1 + Gx * x + Gy * y;
        return (mx / w, my / w);
    }

    /// <summary>The whole scene pixels that a block of the frame touches, without any border.</summary>
    public PixelBlock Bounds(PixelBlock block)
    {
        // Straight lines stay straight, so that the corners bound the rest.
        (double right, double bottom) = (block.X + block.Width - 1, block.Y + block.Height - 1);
        (double ax, double ay) = Map(block.X, block.Y);
        (double bx, double by) = Map(right, block.Y);
        (double cx, double cy) = Map(right, bottom);
        (double dx, double dy) = Map(block.X, bottom);
        (int x, int y) = (Whole(Math.Min(Math.Min(ax, bx), Math.Min(cx, dx))), Whole(Math.Min(Math.Min(ay, by), Math.Min(cy, dy))));
        (int x1, int y1) = (Whole(Math.Max(Math.Max(ax, bx), Math.Max(cx, dx))), Whole(Math.Max(Math.Max(ay, by), Math.Max(cy, dy))));
        return new(x, y, x1 - x + 1, y1 - y + 1);
    }

    private static int Whole(double value) => (int)Math.Floor(value);
}

/// <summary>How far the sensor stands before the image plane, towards the lens: z = AtCentre + PerPixel . (stored pixel - centre), all in px.</summary>
internal readonly record struct SensorDepth(double AtCentre, double PerPixelX, double PerPixelY);
