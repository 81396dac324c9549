using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>
/// A tile's rectangle on the image plane. Whole quarters of a turn are folded into the size, so that <see cref="Rotation"/> is 0
/// exactly where the sides run along x and y.
/// </summary>
/// <param name="Id">The tile's name.</param>
/// <param name="Centre">Centre, mm.</param>
/// <param name="Size">Width and height along its own sides, mm; a side below 0 means that nothing is left.</param>
/// <param name="Rotation">Degrees clockwise.</param>
internal sealed record TileRectangle(string Id, PlanePoint Centre, PlaneSize Size, double Rotation)
{
    /// <summary>Sides of a convex region that cut this rectangle further; empty where nothing does.</summary>
    public IReadOnlyList<HalfPlane> Cuts { get; private init; } = [];

    public bool IsParallel => Rotation == 0;

    /// <summary>The same cut to a convex region; nothing is left where the two have nothing in common.</summary>
    public TileRectangle Clipped(IEnumerable<HalfPlane> region)
    {
        IReadOnlyList<PlanePoint> corners = Corners();
        HalfPlane[] sides = [.. region];
        HalfPlane[] cutting = [.. sides.Where(side => !corners.All(side.Holds))];
        TileRectangle cut = this with { Cuts = [.. Cuts, .. cutting] };
        return sides.Length > 0 && cut.Corners().Count >= 3 ? cut : this with { Size = new(-1, -1), Cuts = [] };
    }

    /// <summary>Whether a point lies inside, the edge included.</summary>
    public bool Holds(PlanePoint point)
    {
        PlanePoint inside = (point - Centre).Rotated(-Rotation);
        return Math.Abs(inside.X) <= Size.Width / 2 && Math.Abs(inside.Y) <= Size.Height / 2 && Cuts.All(side => side.Holds(point));
    }

    /// <summary>
    /// Side of the largest window around a point that this tile holds (a square in a parallel tile, a disc in a rotated one), mm; negative outside.
    /// A window is held as long as its middle lies in <see cref="Eroded"/>, so the side that first lets it out decides.
    /// </summary>
    public double WindowAt(PlanePoint point)
    {
        PlanePoint inside = (point - Centre).Rotated(-Rotation);
        double window = Math.Min(Size.Width - 2 * Math.Abs(inside.X), Size.Height - 2 * Math.Abs(inside.Y));
        foreach (HalfPlane side in Cuts)
            window = Math.Min(window, 2 * side.Room(point) / (IsParallel ? Math.Abs(side.X) + Math.Abs(side.Y) : 1));
        return window;
    }

    /// <summary>The sensor's rectangle at a pose, made smaller by what may go wrong.</summary>
    public static TileRectangle Usable(PlacedTile tile, PlaneSize sensor, Margins margins)
    {
        SensorPose pose = tile.Pose;
        double total = pose.TotalRotation;
        return total % 90 == 0
            ? new(tile.Id, pose.Centre, margins.Usable(sensor, Turns.FromDegrees((int)total)), 0)
            : new(tile.Id, pose.Centre, margins.Aslant(total).Usable(sensor), total);
    }

    /// <summary>
    /// Where the middle of a window may lie that this tile holds: each side moved in by half the window. The same for a square window
    /// in a parallel tile and for a disc in a rotated one (reference: erosion of a convex polygon, Matheron 1975).
    /// </summary>
    public TileRectangle Eroded(PlaneSize window) => this with
    {
        Size = new(Size.Width - window.Width, Size.Height - window.Height),
        Cuts = Cuts.Count == 0 ? Cuts : [.. Cuts.Select(side => side.Moved(-(IsParallel ? side.HalfWindow(window) : Math.Max(window.Width, window.Height) / 2)))],
    };

    public TileRectangle Grown(double margin) => this with
    {
        Size = new(Size.Width + 2 * margin, Size.Height + 2 * margin),
        Cuts = Cuts.Count == 0 ? Cuts : [.. Cuts.Select(side => side.Moved(margin))],
    };

    /// <summary>The corners of what is left, clockwise; fewer than three where nothing is.</summary>
    public IReadOnlyList<PlanePoint> Corners()
    {
        IReadOnlyList<PlanePoint> corners = new SensorPose(Centre, Turn.None, Rotation).Corners(Size);
        return Cuts.Aggregate(corners, (left, side) => side.Cut(left));
    }

    /// <summary>The upright box around it: left, top, right, bottom.</summary>
    public (double Left, double Top, double Right, double Bottom) Box()
    {
        (double sin, double cos) = Angles.SinCosDegrees(Rotation);
        double x = (Math.Abs(cos) * Size.Width + Math.Abs(sin) * Size.Height) / 2;
        double y = (Math.Abs(sin) * Size.Width + Math.Abs(cos) * Size.Height) / 2;
        return (Centre.X - x, Centre.Y - y, Centre.X + x, Centre.Y + y);
    }

    /// <summary>Whether the rectangle meets a region, its edge included.</summary>
    public bool Touches(Polygon region)
    {
        const double Near = 2 * PlaneArea.Snap;
        (double left, double top, double right, double bottom) = Box();
        return Size.ShortSide > 0
            && region.EnvelopeInternal.Intersects(new Envelope(left - Near, right + Near, top - Near, bottom + Near))
            && Corners() is { Count: >= 3 } corners
            && region.IsWithinDistance(PlaneArea.Polygon(corners), Near);
    }

    /// <summary>Side of the largest window that both tiles hold (a square between parallel tiles, a disc otherwise), mm; negative where they do not meet.</summary>
    public static double SharedWindow(TileRectangle a, TileRectangle b)
    {
        double shared = SharedUncut(a, b);
        return (a.Cuts.Count == 0 && b.Cuts.Count == 0) || shared < 0 ? shared : SharedByCutTiles(a, b, shared);
    }

    /// <summary>
    /// The same for the rectangles before they are cut. Two eroded rectangles meet if no side of either separates them (separating-axis theorem); along a direction n the reach
    /// of a rectangle eroded by s falls linearly with s, so each direction gives its largest s in closed form.
    /// </summary>
    public static double SharedUncut(TileRectangle a, TileRectangle b)
    {
        double shared = Math.Min(a.Size.ShortSide, b.Size.ShortSide);
        foreach (double degrees in a.Rotation == b.Rotation ? [a.Rotation, a.Rotation + 90] : new[] { a.Rotation, a.Rotation + 90, b.Rotation, b.Rotation + 90 })
        {
            (double reachA, double slopeA) = a.Reach(degrees);
            (double reachB, double slopeB) = b.Reach(degrees);
            (double sin, double cos) = Angles.SinCosDegrees(degrees);
            double apart = Math.Abs((b.Centre.X - a.Centre.X) * cos + (b.Centre.Y - a.Centre.Y) * sin);
            shared = Math.Min(shared, (reachA + reachB - apart) / (slopeA + slopeB));
        }
        return shared;
    }

    // Cut tiles have no closed form: a smaller window fits wherever a larger one does. Mostly the cuts are far from the middle of what the rectangles share, and take nothing.
    private static double SharedByCutTiles(TileRectangle a, TileRectangle b, double most)
    {
        PlanePoint middle = MiddleOfShared(a.Box(), b.Box());
        var largest = new PlaneSize(most, most);
        if (a.Eroded(largest).Grown(PlaneArea.Snap).Holds(middle) && b.Eroded(largest).Grown(PlaneArea.Snap).Holds(middle))
            return most;
        return Meet(0) ? Greatest.Passing(most, Meet) : -1;

        bool Meet(double window)
        {
            var size = new PlaneSize(window, window);
            IEnumerable<HalfPlane> sides = b.Eroded(size).Grown(PlaneArea.Snap).Sides();
            return sides.Aggregate(a.Eroded(size).Grown(PlaneArea.Snap).Corners(), (left, side) => side.Cut(left)).Count > 0;
        }
    }

    private static PlanePoint MiddleOfShared((double Left, double Top, double Right, double Bottom) a, (double Left, double Top, double Right, double Bottom) b) =>
        new((Math.Max(a.Left, b.Left) + Math.Min(a.Right, b.Right)) / 2, (Math.Max(a.Top, b.Top) + Math.Min(a.Bottom, b.Bottom)) / 2);

    private IEnumerable<HalfPlane> Sides() => HalfPlane.Of(new SensorPose(Centre, Turn.None, Rotation).Corners(Size)).Concat(Cuts);

    // Half extent along a direction, and how fast it falls with the window's side.
    private (double Reach, double Slope) Reach(double degrees)
    {
        (double sin, double cos) = Angles.SinCosDegrees(degrees - Rotation);
        (double along, double across) = (Math.Abs(cos), Math.Abs(sin));
        return ((along * Size.Width + across * Size.Height) / 2, (along + across) / 2);
    }
}
