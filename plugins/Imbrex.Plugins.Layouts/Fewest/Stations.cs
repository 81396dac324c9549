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

    // Parts of a travel at which a bend shows: one that comes back to its beginning, as a whole turn does, shows at most of them.
    private static readonly double[] OnTheWay = [0.21, 0.5, 0.83, 1];

    /// <summary>Whether a back only moves the sensor along x and y.</summary>
    public static bool AreParallel(IBack back) => Starts(back).All(start => Enumerable.Range(0, back.Axes.Count).All(axis => Way(back, start.Setting, axis) is not null));

    /// <summary>The stations for an overlap. A back must be parallel.</summary>
    public static IReadOnlyList<Station> Of(LayoutRequest request, double overlap)
    {
        IEnumerable<Place> places = request.Guide?.Back is { } back ? OfBack(back) : OfLimits(request.Limits);
        return
        [
            .. places
                .GroupBy(place => (IsUpright: place.Turn is Turn.Quarter or Turn.ThreeQuarters, place.Skew, place.X.From, place.X.To, Stops: string.Join(' ', place.X.Stops)))
                .Select(alike => new Station(alike.First().Turn, Held(request, alike.First(), overlap), alike.First().X, Together([.. alike.Select(place => place.Y)]), alike.Key.Skew == 0)),
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
        from start in Starts(back)
        from place in At(back, start.Setting, start.Pose.Turn)
        select place;

    /// <summary>One setting for each way in which the body may stand.</summary>
    public static IEnumerable<SettingSolution> Starts(IBack back) =>
        from turn in Turns.All
        from solution in back.Solve(new(PlanePoint.Origin, turn))
        where solution.Pose.Turn == turn
        select solution;

    // Each row apart, since rails may differ in travel; where rows lie anywhere, all have the travel of the middle.
    private static IEnumerable<Place> At(IBack back, Setting setting, Turn turn)
    {
        SensorPose pose = back.Pose(setting);
        IReadOnlyList<double> stopsX = [], rows = [pose.Centre.Y];
        Reach? anyRow = null;
        for (int axis = 0; axis < back.Axes.Count; axis++)
        {
            PlanePoint way = Way(back, setting, axis) ?? PlanePoint.Origin;
            bool across = Math.Abs(way.X) > Rounding;
            double[] stops = [.. back.Axes[axis].Detents.Select(stop => Moved(back, setting, axis, stop).Centre).Select(centre => across ? centre.X : centre.Y)];
            if (across)
                stopsX = stops;
            else if (stops.Length > 0)
                rows = stops;
            else if (Math.Abs(way.Y) > Rounding)
                anyRow = Between(Moved(back, setting, axis, back.Axes[axis].Minimum).Centre.Y, Moved(back, setting, axis, back.Axes[axis].Maximum).Centre.Y);
        }
        foreach (double row in rows)
        {
            Reach x = stopsX.Count > 0 ? Reach.At(stopsX) : Between(Farthest(back, setting, turn, -Beyond, row), Farthest(back, setting, turn, Beyond, row));
            yield return new(turn, pose.Rotation, x, anyRow ?? Reach.At([row]));
        }
    }

    // How an axis moves the sensor from its one end to its other; null where it turns it, or moves it aslant or on a bend.
    private static PlanePoint? Way(IBack back, Setting setting, int axis)
    {
        SensorPose first = Moved(back, setting, axis, back.Axes[axis].Minimum), last = Moved(back, setting, axis, back.Axes[axis].Maximum);
        PlanePoint way = last.Centre - first.Centre;
        if (Math.Min(Math.Abs(way.X), Math.Abs(way.Y)) > Rounding)
            return null;
        bool straight = OnTheWay.All(part =>
        {
            SensorPose pose = Moved(back, setting, axis, back.Axes[axis].Minimum + part * (back.Axes[axis].Maximum - back.Axes[axis].Minimum));
            PlanePoint aside = pose.Centre - first.Centre - part * way;
            return Math.Abs(Angles.Wrap(pose.TotalRotation - first.TotalRotation)) <= Rounding && (Math.Abs(way.X) > Rounding ? Math.Abs(aside.Y) : Math.Abs(way.Y) > Rounding ? Math.Abs(aside.X) : aside.Length) <= Rounding;
        });
        return straight ? way : null;
    }

    private static Reach Between(double one, double other) => new(Math.Min(one, other), Math.Max(one, other), []);

    private static SensorPose Moved(IBack back, Setting setting, int axis, double position) =>
        back.Pose(setting with { Positions = [.. setting.Positions.Select((at, i) => i == axis ? position : at)] });

    // The farthest that the same seat brings the sensor to one side.
    private static double Farthest(IBack back, Setting setting, Turn turn, double x, double y) => back.Solve(new(new(x, y), turn))
        .First(solution => solution.Setting.BackTurned == setting.BackTurned).Pose.Centre.X;

    private static Reach Together(IReadOnlyList<Reach> rows) => rows.All(row => row.Stops.Count > 0)
        ? Reach.At(rows.SelectMany(row => row.Stops))
        : new(rows.Min(row => row.From), rows.Max(row => row.To), []);

    private sealed record Place(Turn Turn, double Skew, Reach X, Reach Y);
}
