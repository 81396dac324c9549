using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;

namespace Imbrex.Engine.Cards;

/// <summary>The card's words beside the table. Field practice: common practice, no source.</summary>
internal static class CardWords
{
    private const string Blank = "______";

    // The card is one page; the verdict has them all.
    private const int MostCautions = 3;

    public static IReadOnlyList<CardSection> Sections(PlanDocument plan, VerdictDocument verdict) =>
    [
        new("This picture", [.. Picture(plan.Picture, verdict)]),
        new("Lock before the first frame",
        [
            "Set by hand and leave alone: exposure, ISO, white balance, focus.",
            "Off: stabilisation, auto-rotation, lens corrections, tone and noise functions, auto power-off, sensor cleaning.",
            "On: release without lens. No fully electronic shutter under lamps.",
        ]),
        new("Focus", [.. Focus(plan, verdict)]),
        new("Every frame",
        [
            Approach(plan.Kit?.Back.Axes ?? [], verdict.Handling?.Axes ?? []),
            .. (verdict.Clearance?.Cautions ?? []).Take(MostCautions).Select(caution => caution.Text),
            "Lock the slide; dark cloth over the slide.",
            FormattableString.Invariant($"Let it settle {plan.Picture?.SettleSeconds ?? ExposureReport.UsualSettle:0.#} seconds, release without touching, tick the box, note the file number."),
        ]),
        new("At the end", ["Repeat the first tile: it proves that light, focus and tripod have held. Leave that frame out of the merge."]),
        new("When something changes", ["Light drifts by more than a third of a stop: restart the row. Camera bumped: restart the take."]),
        new("Take care", ["Never frame the sun. Mind traffic and edges. Local rules and licensed practice come first."]),
    ];

    private static IEnumerable<string> Picture(PicturePart? picture, VerdictDocument verdict)
    {
        yield return $"Movements: {Movements(picture?.Movements)}";
        yield return $"Aperture {Number("f/", picture?.Aperture)}, exposure {Exposure(picture, verdict.Exposure)}, ISO {Number("", picture?.Iso)}";
        yield return $"Focus: {FocusAt(picture)}";
        yield return $"Filters: {(picture?.Filters is { Count: > 0 } filters ? string.Join(", ", filters.Select(Printable)) : picture is null ? Blank + Blank : "none")}{Density(verdict.Exposure)}";
        if (verdict.Exposure is { TakeSeconds: > 0 } exposure)
            yield return $"The take lasts about {FocusWords.Time(exposure.TakeSeconds)}.";
    }

    private static string Movements(MovementsPart? moved)
    {
        if (moved is null)
            return $"rise {Blank} shift {Blank} tilt {Blank} swing {Blank}";
        string[] words =
        [
            .. new[] { Movement("rise", "fall", moved.RiseMm, "mm"), Movement("shift right", "shift left", moved.ShiftMm, "mm"),
                    Movement("tilt forward", "tilt back", moved.TiltDeg, "°"), Movement("swing right", "swing left", moved.SwingDeg, "°") }.OfType<string>(),
        ];
        return words.Length == 0 ? "none" : string.Join(", ", words) + " (of the lens)";
    }

    private static string? Movement(string forward, string back, double? value, string unit) => value is null or 0 ? null
        : FormattableString.Invariant($"{(value > 0 ? forward : back)} {Math.Abs(value.Value):0.##}{(unit == "mm" ? " mm" : unit)}");

    // The frame's time is the longer of the metered one and what movers need to vanish; filters make up the difference.
    private static string Exposure(PicturePart? picture, ExposurePart? exposure)
    {
        double? seconds = exposure is { FrameSeconds: > 0 } known ? known.FrameSeconds : picture?.Seconds;
        return seconds is { } time ? FocusWords.Time(time) : Blank + " s";
    }

    private static string Density(ExposurePart? exposure) =>
        exposure?.Movers.Max(mover => mover.NeutralDensityStops) is > 0.05 and { } stops ? FormattableString.Invariant($"; neutral density for {stops:0.#} stops") : "";

    private static string FocusAt(PicturePart? picture) => picture switch
    {
        null => Blank,
        { FocusDistanceMm: { } distance } => $"{FocusWords.Distance(distance)} from the lens",
        { Magnification: > 0 and { } m } => FormattableString.Invariant($"magnification {m:0.###}"),
        _ => "infinity",
    };

    private static string Number(string before, double? value) => value is { } known ? FormattableString.Invariant($"{before}{known:0.##}") : before + Blank;

    private static IEnumerable<string> Focus(PlanDocument plan, VerdictDocument verdict)
    {
        IReadOnlyList<int> frames = Extreme(plan);
        string extreme = string.Join(", ", frames.Select(number => FormattableString.Invariant($"{number}")));
        string aperture = plan.Picture?.Aperture is { } n ? FormattableString.Invariant($" (f/{n:0.##})") : "";
        yield return $"Focus at the working aperture{aperture} on the sensor's own picture; check the {(frames.Count == 4 ? "four " : "")}extreme tiles: {extreme}.";
        if (verdict.MountDepthMm is { } depth)
            yield return $"Clamp the mount {Lengths.Text(depth)} mm behind the film datum.";
        if (verdict.Focus is { } focus && Math.Abs(focus.CloseAfterGlassMm) >= 0.05)
        {
            string way = focus.CloseAfterGlassMm > 0 ? "close" : "open";
            yield return $"After the ground glass, {way} the standards by {Lengths.Text(Math.Abs(focus.CloseAfterGlassMm))} mm: the sensor lies {(focus.CloseAfterGlassMm > 0 ? "behind" : "before")} the glass.";
        }
    }

    /// <summary>A user's words without the characters that steer machines.</summary>
    internal static string Printable(string text) => string.Concat(text.Where(c => !char.IsControl(c)));

    /// <summary>The frames farthest out towards the corners, in shooting order.</summary>
    internal static IReadOnlyList<int> Extreme(PlanDocument plan) =>
    [
        .. new[] { (-1, -1), (1, -1), (1, 1), (-1, 1) }
            .Select(corner => Enumerable.Range(0, plan.Tiles.Count).MaxBy(i => corner.Item1 * plan.Tiles[i].XMm + corner.Item2 * plan.Tiles[i].YMm) + 1)
            .Distinct().Order(),
    ];

    private static string Approach(IReadOnlyList<AxisPart> axes, IReadOnlyList<string> names)
    {
        string?[] sides = [.. axes.Select(ScaleReading.From)];
        if (sides.All(side => side is null))
            return "Approach each stop from the same side: where you arrive from the other, run past it and come back.";
        string from = sides.Distinct().Count() == 1
            ? sides[0]!
            : string.Join(", ", sides.Select((side, i) => FormattableString.Invariant($"{(i < names.Count ? names[i] : $"axis {i + 1}")} {side ?? "from either"}")));
        return $"Approach each stop from the same side, {from}.";
    }
}
