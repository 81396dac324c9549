using Imbrex.Engine.Optics;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Layouts;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>What light and focus say of a layout, and what they come to.</summary>
internal sealed record OpticalJudgement(IReadOnlyList<Judgement> Rules, IReadOnlyList<WarningPart> Warnings, IReadOnlyList<MissingPart> Missing)
{
    public IReadOnlyList<string> Notes { get; private init; } = [];
    public OpticsPart? Optics { get; private init; }
    public FocusPart? Focus { get; private init; }
    public ExposurePart? Exposure { get; private init; }

    /// <summary>The factor on the format up to which the circle of light holds it, where that is what fails; otherwise infinite.</summary>
    public double CircleFactor { get; private init; } = double.PositiveInfinity;

    public static OpticalJudgement Of(CheckRequest request, UsableTiles tiles, IReadOnlyList<TileRectangle> usable, IReadOnlyList<Polygon> gaps, bool filled)
    {
        KitOptics? optics = tiles.Optics;
        Judgement light = LightRule.Judge(request, tiles, usable, gaps, filled);
        (Judgement focus, FocusPart? focusPart) = FocusRule.Judge(request, optics);
        Judgement[] rules = Movements.Judge(request) is { } movements ? [movements, light, focus] : [light, focus];
        ExposurePart? exposure = ExposureReport.Of(request, optics);
        return new(rules, [.. rules.SelectMany(rule => rule.Warnings), .. ExposureReport.Warnings(exposure)], MissingFacts.Of(request, optics))
        {
            Notes = [.. NotesOf(request, optics, focusPart)],
            Optics = optics is null ? null : OpticsReport.Of(request, optics, usable),
            Focus = focusPart,
            Exposure = exposure,
            CircleFactor = light.Failures.Any(failure => failure.Region is not null) ? optics!.Light!.Value.Factor(request.Format) : double.PositiveInfinity,
        };
    }

    private static IEnumerable<string> NotesOf(CheckRequest request, KitOptics? optics, FocusPart? focus)
    {
        if (request.Kit is { Camera.BackTurns: false } && request.Back is { } back)
            yield return OneSeat(request, back);
        if (optics is null)
            yield break;
        LensCatalogue.Complete(request.Kit!.Lens!, out IReadOnlyList<string> fromClass);
        if (fromClass.Count > 0)
            yield return $"Taken from the lens class '{optics.Lens.Class}', not measured: {string.Join(", ", fromClass)}.";
        if (focus is { CloseAfterGlassMm: not 0 and var depth })
        {
            yield return $"The sensor lies {Lengths.Text(Math.Abs(depth))} mm {(depth > 0 ? "behind" : "before")} the ground glass, by the depth of back and body: after focusing on the glass {(depth > 0 ? "close" : "open")} the standards by that much, "
                + "by moving the rear where it moves (moving the front changes the distance of the scene), and set the final focus on the sensor itself.";
        }
    }

    private static string OneSeat(CheckRequest request, IBack back)
    {
        // What an arm reaches is an arc, and no rectangle tells it.
        if (back.Axes.Any(axis => axis.IsPivot))
            return "This camera cannot turn its back over, so there is only what one seat reaches.";
        BackLimits limits = back.Limits;
        double high = limits.Bottom - limits.Top + request.Sensor.Height, wide = limits.Right - limits.Left + request.Sensor.Width;
        double around = 2 * Math.Min(limits.Bottom + request.Sensor.Height / 2, request.Sensor.Height / 2 - limits.Top);
        string centred = around < high - PlaneArea.Snap ? $", and {Lengths.Text(Math.Max(0, around))} mm centred on the lens axis" : "";
        return $"This camera cannot turn its back over, so there is only what one seat reaches: {Lengths.Text(wide)} mm across and {Lengths.Text(high)} mm down with the body level{centred}.";
    }
}
