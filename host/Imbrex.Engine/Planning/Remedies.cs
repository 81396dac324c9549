using Imbrex.Engine.Clearance;

namespace Imbrex.Engine.Planning;

/// <summary>What would do instead of a refused layout: another format, overlap or tolerance for the same tiles, or the regular grid that fills the format.</summary>
internal static class Remedies
{
    public static IReadOnlyList<RemedyPart> Find(CheckRequest request, UsableTiles usable, IReadOnlyList<TileRectangle> tiles, VerdictDocument verdict)
    {
        bool placed = verdict.Rules.All(rule => rule.Outcome != RulePart.Failed || rule.Rule is LightRule.Name or FocusRule.Name or Movements.Name or ClearanceRule.Name);
        if (placed)
            return SmallerFormat(verdict) is { } smaller ? [smaller] : [];
        bool reached = verdict.Rules.All(rule => rule.Rule != Reach.Name || rule.Outcome != RulePart.Failed);
        RemedyPart?[] found =
        [
            reached ? SmallerFormat(verdict) : null,
            reached ? SmallerOverlap(request, tiles, verdict) : null,
            reached ? SmallerTolerance(request, usable, tiles) : null,
            GridThatDoes.Find(request, usable),
        ];
        return [.. found.OfType<RemedyPart>()];
    }

    private static bool Failed(VerdictDocument verdict, string name) => verdict.Rules.Any(rule => rule.Rule == name && rule.Outcome == RulePart.Failed);

    // No shop makes a back that repeats better than this, mm or degrees.
    private const double LeastWorthBuilding = 0.02;

    private static RemedyPart? SmallerFormat(VerdictDocument verdict) => verdict.LargestFormat is not { } size ? null : new()
    {
        Kind = "format",
        Text = $"Ask for a format of {Lengths.Safe(size.WidthMm)} x {Lengths.Safe(size.HeightMm)} mm: the largest of the same shape that these tiles fill{(Failed(verdict, LightRule.Name) ? " and the circle of light holds" : "")}.",
    };

    private static RemedyPart? SmallerOverlap(CheckRequest request, IReadOnlyList<TileRectangle> tiles, VerdictDocument verdict)
    {
        bool onlyOverlap = verdict.Rules.All(rule => rule.Outcome != RulePart.Failed || rule.Rule is AcceptanceCheck.Overlap or AcceptanceCheck.Joined);
        if (!onlyOverlap || verdict.MeasuredOverlap is not { WindowMm: > 0.01 } measured)
            return null;
        double enough = Math.Min(measured.WindowMm, verdict.WeakestLink?.SharedMm ?? measured.WindowMm);
        return enough < 0.01 || JoinedTiles.Find(tiles, enough).Groups.Count > 1 || enough >= request.Overlap
            ? null
            : new() { Kind = "overlap", Text = $"Ask for an overlap of {Lengths.Safe(enough)} mm, which these tiles have everywhere." };
    }

    private static RemedyPart? SmallerTolerance(CheckRequest request, UsableTiles tilesOf, IReadOnlyList<TileRectangle> tiles)
    {
        if (request.Margins == Margins.None || tiles.Count > OverlapMeasure.MostTiles || !Pass(Margins.None))
            return null;
        double part = Greatest.Passing(1, part => Pass(Scaled(part)));
        Margins enough = Scaled(part);
        if (Math.Max(enough.Position.Worst, enough.Angle) < LeastWorthBuilding)
            return null;
        string angle = request.Margins.Angle > 0 ? $" and {Lengths.Safe(enough.Angle)} degrees" : "";
        return new() { Kind = "tolerance", Text = $"Or make the back repeat within {Margins.Text(enough.Position, Lengths.Safe)}{angle}: then these tiles do." };

        Margins Scaled(double part) => new(new(part * request.Margins.Position.X, part * request.Margins.Position.Y), part * request.Margins.Angle);

        bool Pass(Margins margins)
        {
            TileRectangle[] usable = tilesOf.With(margins).Of(request.Tiles);
            return WindowRule.Holds(request.Format, usable, default)
                && WindowRule.Holds(request.Format, usable, new(request.Overlap, request.Overlap))
                && JoinedTiles.Find(usable, request.Overlap).Groups.Count == 1;
        }
    }
}
