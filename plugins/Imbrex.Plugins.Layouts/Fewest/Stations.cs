using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>What a back offers a designer: for each way the body may stand, where the sensor's centre may lie.</summary>
internal static class Stations
{
    // Farther than any back reaches, mm.
    private const double Beyond = 1e5;

    // Movements below this are rounding, mm or degrees.
    private const double Rounding = 1e-6;

    /// <summary>The stations for an overlap.</summary>
    /// <exception cref="RefusalException">The back turns the sensor as it moves it, or moves it aslant.</exception>
    public static IReadOnlyList<Station> Of(LayoutRequest request, double overlap)
    {
        IEnumerable<Place> places = request.Guide?.Back is { } back ? OfBack(back) : OfLimits(request.Limits);
        return
        [
            .. places
                .GroupBy(place => (IsUpright: place.Turn is Turn.Quarter or Turn.ThreeQuarters, place.Skew, place.X.From, place.X.To, Stops: string.Join(' ', place.X.Stops)))
                .Select(alike => new Station(alike.First().Turn, Held(request, alike.First(), overlap), alike.First().X, Together([.. alike.Select(place => place.Y)]))),
        ];
    }

    // A tile turned by a little holds the parallel rectangle whose corners lie inside it.
    private static PlaneSize Held(LayoutRequest request, Place place, double overlap)
    {
        PlaneSize tile = request.UsableTile(place.Turn);
        double sin = Math.Abs(Angles.SinCosDegrees(place.Skew).Sin);
        return new(tile.Width - tile.Height * sin - overlap, tile.Height - tile.Width * sin - overlap);
    }

    private static IEnumerable<Place> OfLimits(BackLimits limits) =>
        new[] { BodyTurn.Level(limits), BodyTurn.Upright(limits) }.OfType<Turn>().Select(turn => new Place(turn, 0, new(limits.Left, limits.Right, []), new(limits.Top, limits.Bottom, [])));

    private static IEnumerable<Place> OfBack(IBack back) =>
        from turn in Turns.All
        from solution in back.Solve(new(PlanePoint.Origin, turn))
        where solution.Pose.Turn == turn
        from place in At(back, solution.Setting, turn)
        select place;

    // Each row apart, since rails may differ in travel; where rows lie anywhere, all have the travel of the middle.
    private static IEnumerable<Place> At(IBack back, Setting setting, Turn turn)
    {
        IReadOnlyList<double>? stopsX = null;
        IReadOnlyList<double> rows = [back.Pose(setting).Centre.Y];
        (double Top, double Bottom)? anyRow = null;
        for (int axis = 0; axis < back.Axes.Count; axis++)
        {
            AxisSpec spec = back.Axes[axis];
            SensorPose first = Moved(back, setting, axis, spec.Minimum), last = Moved(back, setting, axis, spec.Maximum);
            PlanePoint way = last.Centre - first.Centre;
            if (Math.Abs(first.TotalRotation - last.TotalRotation) > Rounding || Math.Min(Math.Abs(way.X), Math.Abs(way.Y)) > Rounding)
                throw Aslant();
            double[] stops = [.. spec.Detents.Select(stop => Moved(back, setting, axis, stop)).Select(pose => Math.Abs(way.X) > Rounding ? pose.Centre.X : pose.Centre.Y)];
            if (Math.Abs(way.X) > Rounding)
                stopsX = stops;
            else if (stops.Length > 0)
                rows = stops;
            else
                anyRow = (Math.Min(first.Centre.Y, last.Centre.Y), Math.Max(first.Centre.Y, last.Centre.Y));
        }
        double skew = back.Pose(setting).Rotation;
        if (anyRow is { } span)
            rows = [back.Pose(setting).Centre.Y];
        foreach (double row in rows)
        {
            Reach x = stopsX is { Count: > 0 } ? Reach.At(stopsX) : new(Nearest(back, setting, turn, -Beyond, row), Nearest(back, setting, turn, Beyond, row), []);
            yield return new(turn, skew, x, anyRow is { } any ? new(any.Top, any.Bottom, []) : Reach.At([row]));
        }
    }

    private static SensorPose Moved(IBack back, Setting setting, int axis, double position) =>
        back.Pose(setting with { Positions = [.. setting.Positions.Select((at, i) => i == axis ? position : at)] });

    // The farthest that the same seat brings the sensor to one side.
    private static double Nearest(IBack back, Setting setting, Turn turn, double x, double y) => back.Solve(new(new(x, y), turn))
        .First(solution => solution.Setting.BackTurned == setting.BackTurned).Pose.Centre.X;

    private static Reach Together(IReadOnlyList<Reach> rows) => rows.All(row => row.Stops.Count > 0)
        ? Reach.At(rows.SelectMany(row => row.Stops))
        : new(rows.Min(row => row.From), rows.Max(row => row.To), []);

    private static RefusalException Aslant() => new(
        "This back turns the sensor as it moves it, or moves it aslant: the fewest frames are sought among level and upright tiles only.", "adapter",
        "Place the tiles by a layout script of your own; it is proven all the same.");

    private sealed record Place(Turn Turn, double Skew, Reach X, Reach Y);
}
