using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using static System.FormattableString;

namespace Imbrex.Plugins.Layouts;

/// <summary>Why a layout cannot serve a request: the number that fails, and what would do.</summary>
internal static class Refused
{
    public static RefusalException NothingUsable(double tile) => new(
        Invariant($"Nothing of a tile is certain: what the back may miss takes {-tile:0.##} mm more than the sensor has."), "tolerance",
        "Give the tolerances of the back as they are, or build it stiffer.");

    public static RefusalException TileTooShort(double tile, double overlap, string along) => new(
        Invariant($"A usable tile is {tile:0.##} mm {along}, no more than the overlap of {overlap:0.##} mm asked for: no number of tiles fills the format."),
        "overlap", Invariant($"Ask for an overlap well below {tile:0.##} mm."));

    public static RefusalException TooMany(long count, string along) => new(
        Invariant($"{count} tiles {along} would be needed; 10000 is the most."), "format", "Check the format, which is in millimetres on the image plane, and the overlap.");

    public static RefusalException StepTooLong(double step, double most, string along) => new(
        Invariant($"A step of {step:0.##} mm {along} leaves less than the overlap asked for."), along == "across" ? "step-x" : "step-y",
        Invariant($"Give at most {Math.Floor(most * 100 + 1e-6) / 100:0.##} mm, or 0 to have it computed."));

    public static RefusalException OutsideLimits(PlanePoint centre, string side, double limit, string remedy) => new(
        Invariant($"A tile at ({centre.X:0.###}, {centre.Y:0.###}) mm lies outside what the back reaches: {side} it ends at {limit:0.###} mm."), "back", remedy);

    public static RefusalException TurnNotOffered(IEnumerable<Turn> wanted, IEnumerable<Turn> offered) => new(
        Invariant($"The layout needs the body turned by {Words(wanted, " or ")} degrees, and the back brings about {Words(offered, ", ")}."), "turn",
        "Choose a turn that the back offers, or another layout.");

    public static RefusalException StripTooNarrow(double format, double held, string across) => new(
        Invariant($"A single strip holds {held:0.##} mm {across}, and the format measures {format:0.##} mm there."), "format",
        held > 0 ? Invariant($"Ask for at most {Math.Floor(held * 100 + 1e-6) / 100:0.##} mm {across}, or use regular-grid for more rows.") : "Move the strip nearer to the middle with offset.");

    private static string Words(IEnumerable<Turn> turns, string between) => string.Join(between, turns.Select(turn => turn.Degrees()));
}
