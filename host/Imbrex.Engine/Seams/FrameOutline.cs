using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Where a frame lies on the canvas and how far inside it a canvas position is. A frame stays convex however it is bent, since a plane seen
/// askew keeps straight lines straight; so corners decide about rectangles.
/// </summary>
internal sealed class FrameOutline
{
    // The outermost pixel centres lie on a frame's edge; rounding must not push them outside.
    public const float Tolerance = 1e-4f;

    private readonly Placement _placement;
    private readonly (double X, double Y)[] _corners;
    private readonly (double X, double Y)[]? _usable;

    public FrameOutline(PlacedFrame frame, Placement placement)
    {
        _placement = placement;
        (HalfWidth, HalfHeight) = (frame.Frame.CentreX, frame.Frame.CentreY);
        _corners = [placement.ToCanvas(-HalfWidth, -HalfHeight), placement.ToCanvas(HalfWidth, -HalfHeight),
            placement.ToCanvas(HalfWidth, HalfHeight), placement.ToCanvas(-HalfWidth, HalfHeight)];
        _usable = frame.Usable is { } part ? [.. part.Corners.Select(corner => placement.ToCanvas(corner.X, corner.Y))] : null;
        (Left, Right) = (_corners.Min(c => c.X), _corners.Max(c => c.X));
        (Top, Bottom) = (_corners.Min(c => c.Y), _corners.Max(c => c.Y));
    }

    public double HalfWidth { get; }

    public double HalfHeight { get; }

    public double Left { get; }

    public double Top { get; }

    public double Right { get; }

    public double Bottom { get; }

    /// <summary>The corners on the canvas, in order round the frame.</summary>
    public IReadOnlyList<(double X, double Y)> Corners => _corners;

    /// <summary>Whether the frame may show something in an area; may say yes too often.</summary>
    public bool Touches(CanvasArea area) => Right >= area.X && Left <= area.Right - 1 && Bottom >= area.Y && Top <= area.Bottom - 1;

    /// <summary>Whether the frame shows every pixel of an area.</summary>
    public bool Covers(CanvasArea area)
    {
        FrameLine top = Row(area.X, area.Y), bottom = Row(area.X, area.Bottom - 1);
        return top.Depth(0) >= -Tolerance && top.Depth(area.Width - 1) >= -Tolerance && bottom.Depth(0) >= -Tolerance && bottom.Depth(area.Width - 1) >= -Tolerance;
    }

    /// <summary>
    /// No pixel of a covered area has less weight than this. Offsets across and down are straight along every line, so that the logarithm of
    /// the weight is concave and its smallest value stands in a corner; a bent frame's are straight but for parts in a hundred thousand.
    /// </summary>
    public float LeastWeight(CanvasArea area)
    {
        FrameLine top = Row(area.X, area.Y), bottom = Row(area.X, area.Bottom - 1);
        float least = Math.Min(Math.Min(top.Weight(0), top.Weight(area.Width - 1)), Math.Min(bottom.Weight(0), bottom.Weight(area.Width - 1)));
        return _placement.Warp.IsNone ? least : least * 0.999f;
    }

    /// <summary>No pixel of an area has more weight than this.</summary>
    public double MostWeight(CanvasArea area)
    {
        double left = double.PositiveInfinity, top = double.PositiveInfinity, right = double.NegativeInfinity, bottom = double.NegativeInfinity;
        foreach ((double cx, double cy) in new[] { (area.X, area.Y), (area.Right - 1, area.Y), (area.Right - 1, area.Bottom - 1), (area.X, area.Bottom - 1) })
        {
            (double x, double y) = _placement.ToFrame(cx, cy);
            (left, right) = (Math.Min(left, x), Math.Max(right, x));
            (top, bottom) = (Math.Min(top, y), Math.Max(bottom, y));
        }
        double across = HalfWidth - Math.Max(0, Math.Max(left, -right)), down = HalfHeight - Math.Max(0, Math.Max(top, -bottom));
        return across < -1 || down < -1 ? 0 : (across + 1) * (down + 1);
    }

    /// <summary>First and last canvas column (not rounded) that the frame shows on a row; the first is greater where it shows none.</summary>
    public (double First, double Last) Span(double y)
    {
        if (y < Top - Tolerance || y > Bottom + Tolerance)
            return (double.PositiveInfinity, double.NegativeInfinity);
        return Span(_corners, Math.Clamp(y, Top, Bottom));
    }

    /// <summary>First and last column on a row to which the openings before the sensor leave enough light; may go beyond the frame.</summary>
    public (double First, double Last) UsableSpan(double y) => _usable is null ? (double.NegativeInfinity, double.PositiveInfinity) : Span(_usable, y);

    /// <summary>Whether the openings before the sensor leave a whole area enough light.</summary>
    public bool IsUsable(CanvasArea area)
    {
        (double topFirst, double topLast) = UsableSpan(area.Y);
        (double bottomFirst, double bottomLast) = UsableSpan(area.Bottom - 1);
        return Math.Max(topFirst, bottomFirst) <= area.X && Math.Min(topLast, bottomLast) >= area.Right - 1;
    }

    private static (double First, double Last) Span((double X, double Y)[] corners, double y)
    {
        double first = double.PositiveInfinity, last = double.NegativeInfinity;
        for (int i = 0; i < corners.Length; i++)
        {
            (double X, double Y) p = corners[i], q = corners[(i + 1) % corners.Length];
            if (y < Math.Min(p.Y, q.Y) || y > Math.Max(p.Y, q.Y))
                continue;
            double from = p.X, to = q.X;
            if (p.Y != q.Y)
                from = to = p.X + (q.X - p.X) * ((y - p.Y) / (q.Y - p.Y));
            (first, last) = (Math.Min(first, Math.Min(from, to)), Math.Max(last, Math.Max(from, to)));
        }
        return (first, last);
    }

    /// <summary>Offset from the frame's centre of a canvas position, upright px.</summary>
    public (double X, double Y) ToFrame(double x, double y) => _placement.ToFrame(x, y);

    /// <summary>A row of canvas pixels seen from the frame.</summary>
    public FrameLine Row(double canvasX, double canvasY)
    {
        (double sin, double cos) = Math.SinCos(_placement.Angle);
        (double dx, double dy) = (canvasX - _placement.X, canvasY - _placement.Y);
        (double vx, double vy) = (cos * dx + sin * dy, cos * dy - sin * dx);
        Warp warp = _placement.Warp;
        if (warp.IsNone)
            return new(vx, vy, 1, cos, -sin, 0, HalfWidth, HalfHeight);
        // Numerators and denominator of Warp.Undo are linear in v: the products of two components of v cancel.
        double X(double x, double y) => (1 + warp.Yy) * x - warp.Xy * y;
        double Y(double x, double y) => (1 + warp.Xx) * y - warp.Yx * x;
        double W(double x, double y) => -x * (warp.Gx * (1 + warp.Yy) - warp.Gy * warp.Yx) - y * (warp.Gy * (1 + warp.Xx) - warp.Gx * warp.Xy);
        double w = (1 + warp.Xx) * (1 + warp.Yy) - warp.Xy * warp.Yx;
        return new(X(vx, vy), Y(vx, vy), w + W(vx, vy), X(cos, -sin), Y(cos, -sin), W(cos, -sin), HalfWidth, HalfHeight);
    }
}
