using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;

namespace Imbrex.Engine.Cards;

/// <summary>The table of a card: what to do for each frame, in shooting order, and the first once more.</summary>
internal sealed class CardTable
{
    // Joined by spaces at which no line is broken.
    private const string PastAndBack = "\u00a0*";

    private readonly PlanDocument _plan;
    private readonly IReadOnlyList<AxisPart> _axes;
    private bool _overrun;

    public CardTable(PlanDocument plan)
    {
        _plan = plan;
        _axes = plan.Kit?.Back.Axes ?? [];
        TilePart first = plan.Tiles[0];
        Rows =
        [
            .. plan.Tiles.Select((tile, i) => Row(tile, i == 0 ? null : plan.Tiles[i - 1], Number(i + 1))),
            Row(first, plan.Tiles[^1], "again"),
        ];
    }

    public IReadOnlyList<CardRow> Rows { get; }

    public string Footnote => _overrun ? "* Run past the stop and come back to it from the right side." : "";

    public static IReadOnlyList<string> Columns(PlanDocument plan, IReadOnlyList<string>? axes) =>
    [
        "No.", "Tile",
        plan.Tiles.All(tile => tile.Setting is null) ? "Sensor at x, y mm"
            : axes is ["x"] ? "Dial in on the scale"
            : axes is { Count: > 0 } ? $"Dial in: {string.Join("\u00a0/\u00a0", axes)}"
            : (plan.Kit?.Back.Axes?.Count ?? 1) > 1 ? "Dial in: axes 1\u00a0/\u00a02" : "Dial in on the scale",
        "Back", "Body's top points", "Shows of the scene", "Done", "File no.",
    ];

    private CardRow Row(TilePart tile, TilePart? last, string number) => new()
    {
        Before = Change(tile, last),
        Cells = [number, CardWords.Printable(tile.Id), Dial(tile, last), IsOver(tile) ? "over" : "upright", Bearings.BodyTop(tile.ToPose()), Bearings.ScenePart(tile.ToPose().Centre, _plan.Format.ToSize())],
    };

    // The first frame, too, is told how the back sits where that is not upright.
    private static string? Change(TilePart tile, TilePart? last)
    {
        bool over = IsOver(tile), wasOver = last is not null && IsOver(last);
        int turn = Turn(tile), wasTurn = last is null ? 0 : Turn(last);
        string[] steps =
        [
            .. over == wasOver ? Array.Empty<string>() : [$"take the back off, turn it half round in its own plane ({(over ? "over" : "upright again")}), seat and lock it"],
            .. turn == wasTurn ? Array.Empty<string>() : [$"turn the body on the slide: its top {Points(tile)}"],
        ];
        return steps.Length == 0 ? null : Sentence(string.Join("; ", steps));
    }

    private string Dial(TilePart tile, TilePart? last)
    {
        if (tile.Setting is not { } setting)
            return $"{Lengths.Text(tile.XMm)}, {Lengths.Text(tile.YMm)}";
        string readings = string.Join(" / ", setting.Positions.Select((position, i) => Reading(i, position) + Sign(i, setting, last?.Setting)));
        return setting.BackTurned ? $"{readings} upside down" : readings;
    }

    private string Reading(int axis, double position) => axis < _axes.Count ? Lengths.Text(ScaleReading.Of(_axes[axis], position)) + (_axes[axis].IsPivot ? "°" : "") : Lengths.Text(position);

    // Within a run only: when something is turned, the slide is set anew anyhow.
    private string Sign(int axis, SettingPart setting, SettingPart? last)
    {
        if (last is null || axis >= _axes.Count || last.BackTurned != setting.BackTurned || last.TurnDeg != setting.TurnDeg
            || !ScaleReading.FromWrongSide(_axes[axis], last.Positions[axis], setting.Positions[axis]))
            return "";
        _overrun = true;
        return PastAndBack;
    }

    private static bool IsOver(TilePart tile) => tile.Setting?.BackTurned ?? tile.BackTurned ?? false;

    private static int Turn(TilePart tile) => tile.Setting?.TurnDeg ?? tile.TurnDeg;

    private static string Points(TilePart tile) => $"points {Bearings.BodyTop(tile.ToPose())}";

    private static string Number(int number) => FormattableString.Invariant($"{number}");

    private static string Sentence(string steps) => char.ToUpperInvariant(steps[0]) + steps[1..] + ".";
}
