using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>One side of a line on the image plane: the points whose product with the unit normal is at most the limit.</summary>
internal readonly record struct HalfPlane(double X, double Y, double Limit)
{
    public bool Holds(PlanePoint point) => Excess(point) <= 0;

    /// <summary>How far inside a point lies; negative outside.</summary>
    public double Room(PlanePoint point) => -Excess(point);

    public HalfPlane Moved(double by) => this with { Limit = Limit + by };

    /// <summary>Half the extent of a window along the normal: by this the line moves in when the window must stay inside.</summary>
    public double HalfWindow(PlaneSize window) => (Math.Abs(X) * window.Width + Math.Abs(Y) * window.Height) / 2;

    /// <summary>The sides of a convex polygon, whichever way round its corners run.</summary>
    public static IEnumerable<HalfPlane> Of(IReadOnlyList<PlanePoint> corners)
    {
        double area = 0;
        for (int i = 0; i < corners.Count; i++)
            area += Cross(corners[i], corners[(i + 1) % corners.Count]);
        double way = Math.Sign(area);
        for (int i = 0; i < corners.Count; i++)
        {
            PlanePoint from = corners[i], along = corners[(i + 1) % corners.Count] - from;
            if (along.Length <= PlaneArea.Snap)
                continue;
            (double x, double y) = (way * along.Y / along.Length, -way * along.X / along.Length);
            yield return new(x, y, x * from.X + y * from.Y);
        }
    }

    /// <summary>What a half-plane leaves of a convex polygon (Sutherland and Hodgman 1974; from memory).</summary>
    public List<PlanePoint> Cut(IReadOnlyList<PlanePoint> corners)
    {
        var left = new List<PlanePoint>(corners.Count + 1);
        for (int i = 0; i < corners.Count; i++)
        {
            PlanePoint from = corners[i], to = corners[(i + 1) % corners.Count];
            (double a, double b) = (Excess(from), Excess(to));
            if (a <= 0)
                left.Add(from);
            if (a <= 0 != b <= 0)
                left.Add(from + a / (a - b) * (to - from));
        }
        return left;
    }

    private double Excess(PlanePoint point) => X * point.X + Y * point.Y - Limit;

    private static double Cross(PlanePoint a, PlanePoint b) => a.X * b.Y - a.Y * b.X;
}
