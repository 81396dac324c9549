using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>The tiles in shooting order with arrows from one to the next, seen from behind.</summary>
internal static class TileDrawing
{
    // Numbers of 7 points fit a disc of this radius, mm.
    private const double LeastRadius = 2.42;
    private const double PointsPerRadius = 2.9;

    /// <summary>What the drawing's signs mean.</summary>
    public static string Key(PlanDocument plan)
    {
        string dashes = plan.Tiles.Any(tile => tile.BackTurned is true) ? "; dashed: the back is over" : "";
        return $"Arrows: the order. Wedge: the body's top. Heavy frame: the format{dashes}.";
    }

    /// <summary>Draws within a box of mm.</summary>
    public static Drawing Of(PlanDocument plan, double width, double height)
    {
        PlaneSize sensor = plan.TheSensor().Size(), format = plan.Format.ToSize();
        SensorPose[] poses = [.. plan.Tiles.Select(tile => tile.ToPose())];
        PlanePoint[] all = [.. poses.SelectMany(pose => pose.Corners(sensor)), .. new SensorPose(PlanePoint.Origin).Corners(format)];
        (double left, double top) = (all.Min(p => p.X), all.Min(p => p.Y));
        (double wide, double high) = (all.Max(p => p.X) - left, all.Max(p => p.Y) - top);
        const double Edge = 1;
        double scale = Math.Min((width - 2 * Edge) / wide, (height - 2 * Edge) / high);
        double radius = Math.Clamp(0.13 * sensor.ShortSide * scale, LeastRadius, 3.4);

        PlanePoint On(PlanePoint point) => new(Edge + (point.X - left) * scale, Edge + (point.Y - top) * scale);

        var marks = new List<Mark>();
        marks.AddRange(poses.Select((pose, i) => new PathMark([.. pose.Corners(sensor).Select(On)], 0.25, Dashed: plan.Tiles[i].BackTurned is true)));
        marks.Add(new PathMark([.. new SensorPose(PlanePoint.Origin).Corners(format).Select(On)], 0.7));
        for (int i = 1; i < poses.Length; i++)
            marks.AddRange(Arrow(poses[i - 1] with { Centre = On(poses[i - 1].Centre) }, poses[i] with { Centre = On(poses[i].Centre) }, radius));
        for (int i = 0; i < poses.Length; i++)
            marks.AddRange(Number(On(poses[i].Centre), poses[i].TotalRotation, radius, i + 1));
        return new(wide * scale + 2 * Edge, high * scale + 2 * Edge, marks);
    }

    // From the edge of one number's disc to that of the next, clear of the wedge.
    private static IEnumerable<Mark> Arrow(SensorPose from, SensorPose to, double radius)
    {
        PlanePoint way = to.Centre - from.Centre;
        if (way.Length <= 2.6 * radius)
            yield break;
        PlanePoint along = 1 / way.Length * way, across = new(-along.Y, along.X);
        PlanePoint start = from.Centre + Clear(from, along, radius) * along, tip = to.Centre - (Clear(to, -along, radius) + 0.1 * radius) * along, root = tip - 2 * along;
        if ((tip - start).X * along.X + (tip - start).Y * along.Y < 2)
            yield break;
        yield return new LineMark(start, root, 0.4);
        yield return new PathMark([tip, root + 0.8 * across, root - 0.8 * across], 0, Fill: 0);
    }

    private static double Clear(SensorPose pose, PlanePoint along, double radius)
    {
        PlanePoint wedge = new PlanePoint(0, -1).Rotated(pose.TotalRotation);
        return along.X * wedge.X + along.Y * wedge.Y > 0.85 ? 1.9 * radius : radius;
    }

    private static IEnumerable<Mark> Number(PlanePoint at, double rotation, double radius, int number)
    {
        PlanePoint[] wedge = [new(0, -1.75 * radius), new(0.5 * radius, -1.15 * radius), new(-0.5 * radius, -1.15 * radius)];
        yield return new PathMark([.. wedge.Select(point => at + point.Rotated(rotation))], 0, Fill: 0);
        yield return new DiscMark(at, radius, 0.3);
        double points = radius * PointsPerRadius;
        yield return new TextMark(at + new PlanePoint(0, 0.36 * points * Marks.MmPerPoint), FormattableString.Invariant($"{number}"), points, Bold: true, TextSide.Middle);
    }
}
