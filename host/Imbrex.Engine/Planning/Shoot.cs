using Imbrex.Engine.Clearance;
using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>A layout's tiles as the back will shoot them: at the poses it really gives, in order, with what the photographer must mind.</summary>
/// <param name="Tiles">In shooting order; tiles out of reach last, as the layout wants them.</param>
/// <param name="Handling">The work between exposures.</param>
/// <param name="Notes">What to mind.</param>
internal sealed record Shoot(IReadOnlyList<PlacedTile> Tiles, HandlingPart? Handling, IReadOnlyList<string> Notes)
{
    // With more tiles than these, orders that avoid collisions are not looked for: following every move takes too long.
    private const int MostCareful = 60;

    /// <summary>
    /// The best order of a request's tiles. Where something collides in the order of least work, one as good in turns is sought in which less does.
    /// </summary>
    public static Shoot Plan(CheckRequest request)
    {
        if (request.Back is not { } back)
            return new(request.Tiles, null, []);
        Shoot least = Plan(request.Tiles, new Moves(back));
        CheckRequest placed = request with { Tiles = least.Tiles };
        if (least.Tiles.Count > MostCareful || ClearanceRule.Of(placed) is not { } rule || rule.Holds())
            return least;
        double? depth = request.Kit!.Back.DatumToMountMm is { IsFixed: false } range && request.Picture?.MountDepthMm is null ? range.Most : MountDepth.Of(request);
        return Plan(request.Tiles, new Moves(back, Clashes.Of(request, depth)));
    }

    private static Shoot Plan(IReadOnlyList<PlacedTile> wanted, Moves moves)
    {
        IBack back = moves.Back;
        IReadOnlyList<SettingSolution>[] nearest = [.. wanted.Select(tile => PoseChoice.For(tile.Pose, back))];
        SettingSolution[][] ways = [.. nearest.Select(solutions => solutions.Where(solution => solution.IsReached).ToArray())];
        int[] reached = [.. Enumerable.Range(0, wanted.Count).Where(i => ways[i].Length > 0)];
        IReadOnlyList<(int Tile, Setting Setting)> order = ShootingOrder.Find(
            [.. reached.Select(i => (IReadOnlyList<Setting>)[.. ways[i].Select(way => way.Setting)])], moves);

        PlacedTile[] shots = [.. order.Select(shot => wanted[reached[shot.Tile]] with { Pose = back.Pose(shot.Setting), Setting = shot.Setting })];
        Handling work = moves.Of(order.Select(shot => shot.Setting));
        var part = new HandlingPart
        {
            BackTurns = work.BackTurns,
            CameraTurns = work.CameraTurns,
            Overshoots = Overrun(shots, back).Count(),
            TravelMm = work.Travel,
            Axes = shots.Length > 0 ? AxisNames.Of(back, shots[0].Setting!) : [],
            Exact = order.Count <= ShootingOrder.MostExact,
        };

        // A tile out of reach keeps its place, and takes the turn that comes nearest, so that the reason speaks of the nearest setting.
        var missed = wanted.Select((tile, i) => tile with { Pose = tile.Pose with { Turn = PoseChoice.TurnOf(tile.Pose, nearest[i][0].Pose) } }).Where((_, i) => ways[i].Length == 0);
        return new([.. shots, .. missed], shots.Length > 0 ? part : null, [.. HalfTurns(wanted, shots), .. Play(shots, back)]);
    }

    private static IEnumerable<string> HalfTurns(IReadOnlyList<PlacedTile> wanted, PlacedTile[] shots)
    {
        var asked = wanted.ToDictionary(tile => tile.Id, tile => tile.Pose, StringComparer.Ordinal);
        string[] other = [.. shots.Where(shot => !PoseChoice.Stands(asked[shot.Id], shot.Pose)).Select(shot => shot.Id)];
        if (other.Length > 0)
            yield return $"The body stands the other way up than the layout says for {Lengths.List(other)}: the same rectangle, and the turn in the plan is the one that counts.";
    }

    private static IEnumerable<string> Play(PlacedTile[] shots, IBack back)
    {
        if (shots.Length == 0)
            yield break;
        IReadOnlyList<string> names = AxisNames.Of(back, shots[0].Setting!);
        string[] sides = [.. back.Axes.Select((axis, i) => (axis, i)).Where(pair => pair.axis is { Backlash: > 0, Approach: not Approach.Any })
            .Select(pair => FormattableString.Invariant($"{names[pair.i]} from {(pair.axis.Approach == Approach.Rising ? "smaller" : "larger")} positions"))];
        if (sides.Length > 0)
            yield return $"Play: come to every stop, the first one too, with {string.Join(", ", sides)}.";
        string[] overrun = [.. Overrun(shots, back)];
        if (overrun.Length > 0)
            yield return $"Run the slide past the stop by more than its play and come back for {Lengths.List(overrun, 20)}.";
    }

    private static IEnumerable<string> Overrun(PlacedTile[] shots, IBack back) => shots.Zip(shots.Skip(1))
        .Where(pair => Planning.Handling.WrongSides(back, pair.First.Setting!, pair.Second.Setting!).Any())
        .Select(pair => pair.Second.Id);
}
