using Imbrex.Engine.Planning;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Clearance;

/// <summary>Where and how parts collide, in words.</summary>
internal sealed class ClearanceWords(IBack back)
{
    /// <summary>The setting or the movement at which something collides.</summary>
    public string Where(Passage passage, Leg? leg) => leg switch
    {
        null => $"At tile {passage.Tiles[0]}, {Setting(passage.From)},",
        { Axis: { } axis } => FormattableString.Invariant($"Between tiles {passage.Tiles[0]} and {passage.Tiles[1]}, while {Name(axis, leg.From)} goes from {Position(axis, leg.From)} to {Position(axis, leg.To)},"),
        _ => FormattableString.Invariant($"Between tiles {passage.Tiles[0]} and {passage.Tiles[1]}, while the body is turned from {leg.From.CameraTurn.Degrees()} to {leg.To.CameraTurn.Degrees()} degrees {Positions(leg.From)},"),
    };

    /// <summary>A setting or a way, briefly.</summary>
    public static string Place(Passage passage) => passage.To is null ? $"at tile {passage.Tiles[0]}" : $"between tiles {passage.Tiles[0]} and {passage.Tiles[1]}";

    /// <summary>What to do otherwise than usual.</summary>
    public string Otherwise(Passage passage, Way way)
    {
        bool turns = passage.To is { } to && to.CameraTurn != passage.From.CameraTurn;
        string[] steps =
        [
            .. turns && way.TurnsLast ? ["set the slides before you turn the body"] : Array.Empty<string>(),
            .. turns && way.LongWay ? ["turn the body the longer way round"] : Array.Empty<string>(),
            .. Axes(way) is { Length: > 1 } axes && !axes.SequenceEqual(axes.Order()) ? [FormattableString.Invariant($"move {Name(axes[0], passage.From)} before {Name(axes[1], passage.From)}")] : Array.Empty<string>(),
        ];
        return $"From tile {passage.Tiles[0]} to {passage.Tiles[1]} {string.Join(" and ", steps)}: otherwise parts collide.";
    }

    private string Name(int axis, Setting at) => AxisNames.Of(back, at)[axis];

    private static int[] Axes(Way way) => [.. way.Legs.Select(leg => leg.Axis).OfType<int>()];

    private string Setting(Setting setting) =>
        $"{Positions(setting)}{(setting.CameraTurn == Turn.None ? "" : FormattableString.Invariant($", body at {setting.CameraTurn.Degrees()} degrees"))}{(setting.BackTurned ? ", back turned over" : "")}";

    private string Positions(Setting setting) => "set to " + string.Join(" / ", Enumerable.Range(0, setting.Positions.Count).Select(axis => Position(axis, setting)));

    private string Position(int axis, Setting setting) => $"{Lengths.Text(setting.Positions[axis])} {(back.Axes[axis].IsPivot ? "degrees" : "mm")}";
}
