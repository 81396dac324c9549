using Imbrex.Cli.Output;
using Imbrex.Engine.Planning;

namespace Imbrex.Cli.Commands;

/// <summary>What lens, focus and exposure come to, as a compact table for people.</summary>
internal static class OpticsPrinter
{
    private const int MostTiles = 6;

    public static void Print(VerdictDocument verdict, Terminal terminal)
    {
        string[][] rows = [.. Optics(verdict.Optics), .. Focus(verdict.Focus), .. Exposure(verdict.Exposure)];
        if (rows.Length > 0)
            terminal.SayColumns(rows);
    }

    private static IEnumerable<string[]> Optics(OpticsPart? optics)
    {
        if (optics is null)
            yield break;
        string aperture = optics.Aperture is { } n ? Invariant($" at f/{n:0.#}{(optics.WorkingAperture - n > 0.05 ? Invariant($" (working f/{optics.WorkingAperture:0.#})") : "")}") : "";
        yield return ["lens", Invariant($"{optics.FocalLengthMm:0.#} mm{aperture}, focused at {Distance(optics.FocusDistanceMm)}: image distance {optics.ImageDistanceMm:0.##} mm, scale {Scale(optics.Magnification)}, bellows factor {optics.BellowsFactor:0.##} ({optics.BellowsStops:0.##} stops)")];
        if (optics.AxisMm.Any(value => value != 0))
            yield return ["lens axis", Invariant($"meets the image plane at x {optics.AxisMm[0]:0.##}, y {optics.AxisMm[1]:0.##} mm")];
        if (optics.LightCircle is { } light)
            yield return ["circle of light", Circle(light)];
        if (optics.SharpCircle is { } sharp)
            yield return ["sharp circle", Circle(sharp)];
        FalloffPart falloff = optics.Falloff;
        string disc = falloff.DiscStops is { } exact ? Invariant($"; {exact:0.##} by the exact disc formula") : "";
        yield return ["natural falloff", Invariant($"{falloff.SmallPupilStops:0.##} stops at the darkest corner by {falloff.Formula} (thin lens){disc}; {falloff.SpreadStops:0.##} stops over the format")];
        if (Clipping(optics) is { } clipping)
            yield return ["clipping", clipping];
        if (optics.Diffraction is { } diffraction)
            yield return ["diffraction", Invariant($"cut-off {diffraction.CutOffPerMm:0.#} cycles/mm; the pixels resolve {diffraction.NyquistPerMm:0.#}, where {100 * diffraction.ContrastAtNyquist:0} % of contrast is left; nothing aliases from f/{diffraction.NoAliasingAperture:0.#} on (colour mosaic f/{diffraction.NoAliasingMosaicAperture:0.#})")];
        if (optics.Depth is { } depth)
            yield return ["sharp", Depth(depth)];
        if (optics.Depth is { FocusSpreadMm: { } spread } asked)
            yield return ["depth asked for", Invariant($"focus spread {spread:0.##} mm: f/{asked.SpreadAperture:0.#} makes it sharp, f/{asked.BalancedAperture:0.#} balances it with diffraction; focus at {Distance(asked.FocusAtMm)}")];
        ViewPart view = optics.View;
        yield return ["view", Invariant($"{view.WidthDeg:0.#} x {view.HeightDeg:0.#} degrees, {view.DiagonalDeg:0.#} across; {view.WidthPx} x {view.HeightPx} px")];
        yield return ["the same view", string.Join(", ", view.Equivalents.Select(equal => Invariant($"{equal.FocalLengthMm:0} mm on {equal.Format}")))];
    }

    private static IEnumerable<string[]> Focus(FocusPart? focus)
    {
        if (focus is null)
            yield break;
        yield return ["standards", Invariant($"board to film {focus.NeededMm:0.#} mm; {focus.RoomInMm:0.#} mm left to close, {focus.RoomOutMm:0.#} mm to open; focuses from {(focus.NearestMm is { } near ? Distance(near) : "nothing")} to {(focus.FarthestMm is { } far ? Distance(far) : focus.NearestMm is null ? "nothing" : "infinity")}")];
        string lean = focus.LargestLeanDeg is { } degrees ? Invariant($"; the rail may lean by {degrees:0.##} degrees") : "";
        yield return ["after focusing on glass", Invariant($"{(focus.CloseAfterGlassMm < 0 ? "open" : "close")} the standards by {Math.Abs(focus.CloseAfterGlassMm):0.##} mm{lean}")];
    }

    private static IEnumerable<string[]> Exposure(ExposurePart? exposure)
    {
        if (exposure is null)
            yield break;
        foreach (MoverTimePart mover in exposure.Movers)
            yield return [mover.Name, Mover(mover)];
        string median = exposure.MedianFrames is { } frames
            ? Invariant($"; or the median of {frames} frames a tile{(exposure.MedianTakeSeconds is { } seconds ? ", " + Time(seconds) + " in all" : "")}")
            : "";
        yield return ["take", Invariant($"{Time(exposure.FrameSeconds)} a frame, about {Time(exposure.TakeSeconds)} in all{median}")];
    }

    private static string Mover(MoverTimePart mover)
    {
        string gone = mover.VanishSeconds is { } vanish ? $"gone after {Time(vanish)}" : "never gone";
        string filter = mover.NeutralDensityStops is > 0 and var stops ? Invariant($" ({stops:0.#} stops of neutral density)") : "";
        string frozen = mover.FreezeSeconds is { } freeze ? Invariant($"; frozen to a pixel at {Time(freeze)} ({mover.ImageSpeedPxPerS:0} px/s)") : "";
        return gone + filter + frozen;
    }

    private static string Circle(CirclePart circle) => circle.HoldsFormat
        ? Invariant($"{circle.DiameterMm:0.#} mm holds the format; the lens can still rise {circle.Room.RiseMm:0.#}, fall {circle.Room.FallMm:0.#}, go left {circle.Room.LeftMm:0.#} and right {circle.Room.RightMm:0.#} mm")
        : Invariant($"{circle.DiameterMm:0.#} mm leaves {circle.OutsidePercent:0.#} % of the format outside; {circle.NeededAtInfinityMm:0.#} mm at infinity would hold it");

    private static string? Clipping(OpticsPart optics)
    {
        TileLightPart[] known = [.. optics.Tiles.Where(tile => tile.LeastLight is not null)];
        TileLightPart[] clipped = [.. known.Where(tile => tile.LeastLight < 0.9995).OrderBy(tile => tile.LeastLight)];
        if (known.Length == 0)
            return null;
        return clipped.Length == 0 ? "mount and back clip no tile" : string.Join(", ", clipped.Take(MostTiles).Select(tile =>
            Invariant($"{tile.Id} down to {100 * tile.LeastLight!.Value:0} % at ({tile.AtMm![0]:0.#}, {tile.AtMm[1]:0.#}){(tile.Cut ? ", cut" : "")}")))
            + (clipped.Length > MostTiles ? Invariant($" and {clipped.Length - MostTiles} more tiles") : "");
    }

    private static string Depth(DepthPart depth) => Invariant($"from {Distance(depth.NearMm)} to {Distance(depth.FarMm)} with c = {depth.CircleOfConfusionMm:0.####} mm; hyperfocal distance {Distance(depth.HyperfocalMm)}; depth of focus {depth.DepthOfFocusMm:0.###} mm")
        + (depth.HingeMm is { } hinge ? Invariant($"; hinge line {Distance(hinge)} from the lens (the depth given is that of the untilted lens)") : "");

    private static string Scale(double magnification) => magnification == 0 ? "0" : magnification >= 1 ? Invariant($"{magnification:0.##}") : Invariant($"1:{1 / magnification:0.#}");

    private static string Distance(double? mm) => FocusWords.Distance(mm ?? double.PositiveInfinity);

    private static string Time(double seconds) => FocusWords.Time(seconds);

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
