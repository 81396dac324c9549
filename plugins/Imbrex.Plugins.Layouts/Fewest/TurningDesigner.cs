using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using static System.FormattableString;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>
/// Designs for backs that turn the sensor as they move it: of all settings at the back's stops, as few as hold a grid of points. Where an axis stops anywhere it is
/// taken at close places, and nothing is proven.
/// </summary>
/// <param name="request">What is asked for.</param>
/// <param name="back">The back.</param>
/// <param name="turns">The turns of the body that may be used.</param>
internal sealed class TurningDesigner(LayoutRequest request, IBack back, Func<Turn, bool> turns) : IDesigner
{
    // Places tried of an axis that stops anywhere, and points to the longer side of the format.
    private const int PlacesOfFreeAxis = 41;
    private const int PointsAlong = 90;

    private readonly SensorPose[] _poses = [.. Stations.Starts(back).Where(start => turns(start.Pose.Turn)).SelectMany(start => Settings(back, start.Setting)).Select(back.Pose).Distinct()];

    /// <inheritdoc/>
    public Design Find(double overlap)
    {
        (SensorPose[] poses, StopSearch search) = Search(overlap);
        if (search.Open is { } open)
        {
            throw new RefusalException(
                Invariant($"At no stop does a tile hold ({open.X:0.##}, {open.Y:0.##}) mm with an overlap of {overlap:0.##} mm."), "back", "Ask for a smaller format or less overlap, or give the back more stops.");
        }
        int[] fewest = search.Fewest(out bool isProven);
        bool atStops = back.Axes.All(axis => axis.Detents.Count > 0 || axis.Minimum == axis.Maximum);
        return new([Tiles(poses, fewest)], isProven && atStops, isProven && atStops ? fewest.Length : 1);
    }

    /// <inheritdoc/>
    public IReadOnlyList<Tile>? Cover(double overlap, int most)
    {
        if (overlap >= request.Format.ShortSide)
            return null;
        (SensorPose[] poses, StopSearch search) = Search(overlap);
        return search.Open is null && search.Fewest(out _) is { } fewest && fewest.Length <= most ? Tiles(poses, fewest) : null;
    }

    private static IReadOnlyList<Tile> Tiles(SensorPose[] poses, int[] chosen) => [.. chosen.Select(i => new Tile(poses[i]))];

    // Which points each tile holds as the middle of a window: a disc in a turned tile (edges moved in by half the overlap).
    private (SensorPose[] Poses, StopSearch Search) Search(double overlap)
    {
        PlanePoint[] points = [.. Points(overlap)];
        PlaneSize usable = request.UsableTile(Turn.None);
        (double x, double y) = ((usable.Width - overlap) / 2 + 1e-6, (usable.Height - overlap) / 2 + 1e-6);
        bool[][] held = [.. _poses.Select(pose => points.Select(point => Holds(pose, point, x, y)).ToArray())];
        return (_poses, new(points, held));
    }

    private static bool Holds(SensorPose pose, PlanePoint point, double x, double y)
    {
        PlanePoint inside = (point - pose.Centre).Rotated(-pose.TotalRotation);
        return Math.Abs(inside.X) <= x && Math.Abs(inside.Y) <= y;
    }

    private IEnumerable<PlanePoint> Points(double overlap)
    {
        (double width, double height) = (Math.Max(0, request.Format.Width - overlap), Math.Max(0, request.Format.Height - overlap));
        double step = Math.Max(0.01, Math.Max(width, height) / PointsAlong);
        (int columns, int rows) = (1 + (int)Math.Ceiling(width / step), 1 + (int)Math.Ceiling(height / step));
        return
            from j in Enumerable.Range(0, rows)
            from i in Enumerable.Range(0, columns)
            select new PlanePoint(At(i, columns, width), At(j, rows, height));

        static double At(int i, int count, double length) => count > 1 ? (i / (count - 1.0) - 0.5) * length : 0;
    }

    private static IEnumerable<Setting> Settings(IBack back, Setting start)
    {
        IEnumerable<double[]> positions = [[]];
        foreach (AxisSpec axis in back.Axes)
        {
            double[] places = axis.Detents.Count > 0 ? [.. axis.Detents]
                : [.. Enumerable.Range(0, PlacesOfFreeAxis).Select(i => axis.Minimum + i * (axis.Maximum - axis.Minimum) / (PlacesOfFreeAxis - 1)).Distinct()];
            positions = [.. positions.SelectMany(before => places.Select(place => (double[])[.. before, place]))];
        }
        return positions.Select(at => start with { Positions = at });
    }
}
