namespace Imbrex.Engine.Registration;

/// <summary>
/// A projective map of the plane, (x, y) to ((Xx x + Xy y + X0) / w, (Yx x + Yy y + Y0) / w) with w = Wx x + Wy y + W0.
/// </summary>
internal readonly record struct Homography(double Xx, double Xy, double X0, double Yx, double Yy, double Y0, double Wx, double Wy, double W0)
{
    /// <summary>The map of a placement, from offsets from the frame's centre to the canvas.</summary>
    public static Homography Of(Placement p)
    {
        (double sin, double cos) = Math.SinCos(p.Angle);
        Warp e = p.Warp;
        double xx = cos * (1 + e.Xx) - sin * e.Yx, xy = cos * e.Xy - sin * (1 + e.Yy), yx = sin * (1 + e.Xx) + cos * e.Yx, yy = sin * e.Xy + cos * (1 + e.Yy);
        return new(xx + p.X * e.Gx, xy + p.X * e.Gy, p.X, yx + p.Y * e.Gx, yy + p.Y * e.Gy, p.Y, e.Gx, e.Gy, 1);
    }

    /// <summary>
    /// A plane that is tilted, and nearer by a part, seen from a point on the axis that stands on it at (x, y): q becomes
    /// c + (1 + nearer) (q - c) / (1 - p . (q - c)).
    /// </summary>
    public static Homography OfTilt(double x, double y, double px, double py, double nearer)
    {
        // Numerator c w + s (q - c) with w = 1 - p . (q - c).
        double s = 1 + nearer, w0 = 1 + px * x + py * y;
        return new(s - x * px, -x * py, x * w0 - s * x, -y * px, s - y * py, y * w0 - s * y, -px, -py, w0);
    }

    /// <summary>First the other, then this.</summary>
    public Homography After(Homography o) => new(
        Xx * o.Xx + Xy * o.Yx + X0 * o.Wx, Xx * o.Xy + Xy * o.Yy + X0 * o.Wy, Xx * o.X0 + Xy * o.Y0 + X0 * o.W0,
        Yx * o.Xx + Yy * o.Yx + Y0 * o.Wx, Yx * o.Xy + Yy * o.Yy + Y0 * o.Wy, Yx * o.X0 + Yy * o.Y0 + Y0 * o.W0,
        Wx * o.Xx + Wy * o.Yx + W0 * o.Wx, Wx * o.Xy + Wy * o.Yy + W0 * o.Wy, Wx * o.X0 + Wy * o.Y0 + W0 * o.W0);

    /// <summary>
    /// The placement of a frame that this maps from offsets from its centre to the canvas: its angle is that of the rotation that comes nearest at the
    /// centre, and the rest bends it.
    /// </summary>
    public Placement ToPlacement()
    {
        (double x, double y, double gx, double gy) = (X0 / W0, Y0 / W0, Wx / W0, Wy / W0);
        // The map's derivative at the centre: A - t g'.
        double xx = Xx / W0 - x * gx, xy = Xy / W0 - x * gy, yx = Yx / W0 - y * gx, yy = Yy / W0 - y * gy;
        double angle = Math.Atan2(yx - xy, xx + yy);
        (double sin, double cos) = Math.SinCos(angle);
        return new(x, y, angle, new(cos * xx + sin * yx - 1, cos * xy + sin * yy, cos * yx - sin * xx, cos * yy - sin * xy - 1, gx, gy));
    }
}
