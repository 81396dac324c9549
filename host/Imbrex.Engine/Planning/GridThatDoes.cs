using System.Globalization;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The regular grid of fewest frames that fills a format and that the back reaches: evenly spread, or at the steps that the back's
/// stops and its two rows offer.
/// </summary>
internal static class GridThatDoes
{
    private const int MostTiles = 10_000;

    // Nobody shoots more frames than these for being told of them.
    private const int MostFrames = 2000;

    // Long steps need few frames: more than these of one back are not worth trying.
    private const int MostSteps = 12;

    /// <summary>The grid as a remedy, or null where the back reaches none.</summary>
    public static RemedyPart? Find(CheckRequest request, UsableTiles usable) => new[] { Turn.None, Turn.Quarter }
        .SelectMany(turn => Grids(request, turn))
        .Where(grid => grid.Frames <= MostFrames)
        .OrderBy(grid => grid.Frames)
        .FirstOrDefault(grid => Does(grid, request, usable))?
        .ToRemedy();

    private static IEnumerable<Grid> Grids(CheckRequest request, Turn turn)
    {
        PlaneSize tile = request.Margins.Usable(request.Sensor, turn);
        if (tile.ShortSide <= 0)
            return [];
        return
            from across in Runs(request.Format.Width, tile.Width, request.Overlap, Steps(request.Back, 0, limits => limits.Right - limits.Left))
            from down in Runs(request.Format.Height, tile.Height, request.Overlap, Steps(request.Back, 1, limits => limits.Bottom - limits.Top))
            select new Grid(turn, across, down);
    }

    private static IEnumerable<Run> Runs(double length, double tile, double overlap, IEnumerable<double> steps)
    {
        if (EvenSpread.Count(length, tile, overlap) is not { } count)
            yield break;
        yield return new(count, EvenSpread.Step(length, tile, count), IsEven: true);
        foreach (double step in steps.Where(step => step <= tile - overlap + PlaneArea.Snap).Take(MostSteps))
            yield return new((int)Math.Clamp(Math.Ceiling((length - tile) / step - PlaneArea.Snap) + 1, 1, MostTiles), step, IsEven: false);
    }

    // Distances between the stops of an axis, and the whole reach: for a rail that is turned over, the distance of its two rows.
    private static IEnumerable<double> Steps(IBack? back, int axis, Func<BackLimits, double> reach)
    {
        if (back is null)
            return [];
        IReadOnlyList<double> stops = axis < back.Axes.Count ? back.Axes[axis].Detents : [];
        return stops.SelectMany(stop => stops.Select(other => stop - other))
            .Append(reach(back.Limits) - 2 * back.PositionTolerance.Worst)
            .Where(step => step > PlaneArea.Snap)
            .Select(step => Math.Round(step, 6))
            .Distinct()
            .OrderDescending();
    }

    private static bool Does(Grid grid, CheckRequest request, UsableTiles usable)
    {
        IBack? back = request.Back;
        var tiles = new List<TileRectangle>();
        foreach (SensorPose wanted in grid.Poses())
        {
            SettingSolution? way = back is null ? null : PoseChoice.For(wanted, back)[0];
            if (way is { IsReached: false })
                return false;
            tiles.Add(usable.Of(new PlacedTile($"{tiles.Count}", way?.Pose ?? wanted, way?.Setting)));
        }
        return WindowRule.Holds(request.Format, tiles, default) && WindowRule.Holds(request.Format, tiles, new(request.Overlap, request.Overlap));
    }

    private readonly record struct Run(int Count, double Step, bool IsEven);

    private sealed record Grid(Turn Turn, Run Across, Run Down)
    {
        public long Frames => (long)Across.Count * Down.Count;

        public IEnumerable<SensorPose> Poses() =>
            from y in EvenSpread.Centred(Down.Count, Down.Step)
            from x in EvenSpread.Centred(Across.Count, Across.Step)
            select new SensorPose(new(x, y), Turn);

        public RemedyPart ToRemedy()
        {
            string stepX = Across.Count > 1 ? $", step-x {Lengths.Text(Across.Step)} mm" : "";
            string stepY = Down.Count > 1 ? $", step-y {Lengths.Text(Down.Step)} mm" : "";
            string turn = Turn == Turn.None ? "" : FormattableString.Invariant($", turn {Turn.Degrees()}");
            var parameters = new Dictionary<string, string>
            {
                ["columns"] = Across.Count.ToString(CultureInfo.InvariantCulture),
                ["rows"] = Down.Count.ToString(CultureInfo.InvariantCulture),
                ["turn"] = Turn.Degrees().ToString(CultureInfo.InvariantCulture),
            };
            if (!Across.IsEven)
                parameters["step-x"] = Across.Step.ToString("R", CultureInfo.InvariantCulture);
            if (!Down.IsEven)
                parameters["step-y"] = Down.Step.ToString("R", CultureInfo.InvariantCulture);
            return new()
            {
                Kind = "layout",
                Text = FormattableString.Invariant($"A regular grid of {Across.Count} x {Down.Count} = {Frames} frames does{turn}{stepX}{stepY}."),
                Layout = new() { Name = "regular-grid", Parameters = parameters },
            };
        }
    }
}
