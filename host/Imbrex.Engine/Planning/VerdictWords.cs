using Imbrex.Engine.Clearance;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>A verdict in words.</summary>
internal static class VerdictWords
{
    public static string Summary(VerdictDocument verdict)
    {
        bool one = verdict.Frames == 1;
        string frames = one ? "1 frame" : FormattableString.Invariant($"{verdict.Frames} frames");
        string format = Lengths.Text(verdict.Format.ToSize());
        string overlap = verdict.MeasuredOverlap is { } measured && verdict.Frames > 1 ? $" with {Overlap(measured)}" : "";
        if (verdict.Accepted)
            return $"Accepted: {frames} {(one ? "fills" : "fill")} {format}{overlap}; {Lengths.Text(verdict.OverlapMm)} mm are asked for.";
        string broken = string.Join(", ", verdict.Rules.Where(rule => rule.Outcome == RulePart.Failed).Select(rule => rule.Rule));
        FailurePart first = verdict.Failures[0];
        if (first.Rule is LightRule.Name or FocusRule.Name or Movements.Name or ClearanceRule.Name)
            return $"Refused ({broken}): {first.Text}";
        string left = verdict.Filled switch
        {
            null => $"{frames} {(one ? "does" : "do")} not show the middle of the wanted {format}",
            var filled when filled == verdict.Format => $"{frames} would fill {format}{overlap}; {Lengths.Text(verdict.OverlapMm)} mm are asked for",
            var filled => $"{frames} {(one ? "leaves" : "leave")} {Lengths.Text(filled.ToSize())} of the wanted {format}{overlap}; {Lengths.Text(verdict.OverlapMm)} mm are asked for",
        };
        return $"Refused ({broken}): {left}.{Tolerance(verdict)}";
    }

    public static string Overlap(MeasuredOverlapPart measured) => measured is { AcrossMm: { } across, DownMm: { } down }
        ? $"{Lengths.Text(measured.WindowMm)} mm of overlap ({Lengths.Text(across)} mm across, {Lengths.Text(down)} mm down)"
        : $"{Lengths.Text(measured.WindowMm)} mm of overlap";

    private static string Tolerance(VerdictDocument verdict) => verdict is { ToleranceMm: 0, AngularToleranceDeg: 0 }
        ? ""
        : FormattableString.Invariant($" Of each tile {Lengths.Text(new PlaneSize(verdict.UsableTileMm[0], verdict.UsableTileMm[1]))} are certain, as the back may miss by {Margins.Text(verdict.Margins().Position, Lengths.Text)} and {Lengths.Text(verdict.AngularToleranceDeg)} degrees.");
}
