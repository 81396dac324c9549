using System.Diagnostics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Hosting.Planning;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Cli.Bench;

/// <summary>
/// The layout on the bench: judges it anew when its files or its parameters change, one change at a time, and tells those who listen. A change that fails leaves
/// the last good drawing in place.
/// </summary>
/// <param name="planner">Plans and judges.</param>
/// <param name="wish">What to plan, read anew whenever the kit's file may have changed.</param>
/// <param name="source">The layout as the user named it.</param>
/// <param name="given">Parameters from the command line.</param>
internal sealed class BenchSession(KitPlanner planner, Func<PlanningWish> wish, string source, IReadOnlyDictionary<string, string> given)
{
    /// <summary>Cells across of a heat map: some 4 px each on a usual screen.</summary>
    public const int MapColumns = 220;

    private readonly Lock _lock = new();
    private readonly List<TaskCompletionSource> _waiting = [];
    private Dictionary<string, string> _values = new(given, StringComparer.Ordinal);
    private PlanningWish? _wish;
    private IMosaicLayout? _layout;
    private CheckRequest? _drawn;
    private BenchState _state = new() { Number = 0, Source = source, Parameters = [], Tiles = [] };

    public BenchState State
    {
        get
        {
            lock (_lock)
                return _state;
        }
    }

    /// <summary>Reads kit and script again.</summary>
    public void Reload() => Change(() =>
    {
        (_layout, _wish) = (null, null);
        _wish = wish();
        _layout = planner.Open(_wish);
    });

    /// <summary>Takes values of parameters as a person writes them.</summary>
    public void Set(IReadOnlyDictionary<string, string> values) => Change(() => _values = new(_values.Concat(values).GroupBy(pair => pair.Key)
        .Select(pairs => pairs.Last()), StringComparer.Ordinal));

    /// <summary>Gives all parameters their defaults again.</summary>
    public void Reset() => Change(() => _values = []);

    /// <summary>Waits for a state after a number.</summary>
    public async Task<BenchState> AfterAsync(int number, CancellationToken cancellation)
    {
        while (true)
        {
            Task next;
            lock (_lock)
            {
                if (_state.Number > number)
                    return _state;
                var waiting = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
                _waiting.Add(waiting);
                next = waiting.Task;
            }
            await next.WaitAsync(cancellation);
        }
    }

    /// <summary>A heat map of what is drawn: <c>overlap</c> or <c>light</c>; null for another kind, or where there is nothing to show.</summary>
    public PlaneMap? Map(string kind)
    {
        CheckRequest? drawn;
        lock (_lock)
            drawn = _drawn;
        return (kind, drawn) switch
        {
            ("overlap", { }) => PlaneMap.OverlapDepth(drawn, MapColumns),
            ("light", { }) => PlaneMap.LightLeft(drawn, MapColumns),
            _ => null,
        };
    }

    private void Change(Action change)
    {
        long start = Stopwatch.GetTimestamp();
        TaskCompletionSource[] waiting;
        lock (_lock)
        {
            BenchState next = Next(change);
            _state = next with { Number = _state.Number + 1, TookMs = Math.Round(Stopwatch.GetElapsedTime(start).TotalMilliseconds, 1) };
            waiting = [.. _waiting];
            _waiting.Clear();
        }
        Array.ForEach(waiting, one => one.SetResult());
    }

    private BenchState Next(Action change)
    {
        try
        {
            change();
            if (_wish is null || _layout is null)
                return _state;
            // A script that is being written loses and renames parameters: values of those that it does not have now wait.
            Dictionary<string, string> known = _values.Where(pair => _layout.Description.Parameters.Any(parameter => parameter.Name == pair.Key)).ToDictionary();
            BenchState described = _state with
            {
                Layout = _layout.Description.Name,
                Summary = _layout.Description.Summary,
                Parameters = [.. _layout.Description.Parameters.Select(parameter => BenchParameter.Of(parameter, known.GetValueOrDefault(parameter.Name)))],
                Fault = null,
            };
            _state = described;
            return Judged(described, planner.Plan(_wish with { Parameters = known }, _layout));
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            return _state with { Fault = FaultPlace.Of(e, LayoutScripts.IsScript(source) ? source : "") };
        }
    }

    private BenchState Judged(BenchState described, PlanResult result)
    {
        CheckRequest drawn = result.Plan is { } plan ? CheckRequest.For(plan, result.Verdict) : Empty(result.Verdict);
        string drawing = PlanDrawing.Bare(drawn, result.Verdict);
        _drawn = drawn;
        return described with
        {
            Verdict = result.Verdict,
            Drawing = drawing,
            Tiles = [.. drawn.Tiles.Select((tile, i) => new BenchTile(i + 1, tile.Id, tile.Pose.Centre.X, tile.Pose.Centre.Y, Angles.Wrap(tile.Pose.TotalRotation),
                tile.Setting is null ? "" : tile.Setting.BackTurned ? "turned over" : "upright"))],
        };
    }

    // The layout itself refuses: the format and the lens's circles can still be shown.
    private CheckRequest Empty(VerdictDocument verdict) => new()
    {
        Tiles = [],
        Sensor = ((ISensor?)_wish!.Kit?.Body ?? _wish.Sensor!).Size(),
        Format = _wish.Format,
        Overlap = verdict.OverlapMm,
        Margins = new(verdict.ToleranceMm, verdict.AngularToleranceDeg),
        Kit = _wish.Kit,
        Picture = _wish.Picture,
    };
}
