using Imbrex.Engine.Clearance;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>Judges a layout by the rules of reach, coverage, overlap, joined, movements, light, focus and clearance. Pure: the same request gives the same verdict.</summary>
public static class AcceptanceCheck
{
    internal const string Coverage = "coverage";
    internal const string Overlap = "overlap";
    internal const string Joined = "joined";

    // A layout that misses everywhere has thousands of gaps; the largest say enough.
    internal const int MostRegions = 50;

    /// <summary>Applies the rules.</summary>
    /// <exception cref="InputException">No tile, a size that is not above 0, a negative overlap or tolerance, or a number that is not finite.</exception>
    public static VerdictDocument Judge(CheckRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        RequestCheck.Validate(request);
        var clearance = ClearanceRule.Of(request);
        request = MountDepth.Settle(request, clearance);
        UsableTiles usableTiles = UsableTiles.For(request);
        TileRectangle[] tiles = usableTiles.Of(request.Tiles);
        var rules = new List<RulePart>();
        var failures = new List<FailurePart>();
        Add(Reach.Judge(request.Tiles, request.Back));
        IReadOnlyList<Polygon> gaps = WindowRule.Broken(request.Format, tiles, default);
        Add(JudgeCoverage(gaps, tiles));
        Add(JudgeOverlap(request, tiles));
        JoinedTiles joined = JoinedTiles.Find(tiles, request.Overlap);
        bool filled = failures.All(failure => failure.Rule == Reach.Name);
        Add(JudgeJoined(request, joined));
        OpticalJudgement optical = OpticalJudgement.Of(request, usableTiles, tiles, gaps, filled);
        foreach (Judgement judged in optical.Rules)
            Add((judged.Rule, judged.Failures));

        (Judgement Judged, ClearancePart? Part)? clear = clearance?.Judge(MountDepth.Of(request), optical.Focus);
        Judgement[] judgements = clear is { } known ? [.. optical.Rules, known.Judged] : [.. optical.Rules];
        if (clear is { } last)
            Add((last.Judged.Rule, last.Judged.Failures));

        bool accepted = failures.Count == 0;
        PlaneSize usable = request.Margins.Usable(request.Sensor);
        PlaneSize? shown = gaps.Count == 0 ? request.Format : Down(LargestFormat.Filled(request.Format, tiles));
        var verdict = new VerdictDocument
        {
            Schema = VerdictDocument.SchemaName,
            Accepted = accepted,
            Summary = "",
            Frames = tiles.Length,
            Format = SizePart.From(request.Format),
            OverlapMm = request.Overlap,
            ToleranceMm = request.Margins.Position.Worst,
            ToleranceAlongMm = VerdictDocument.Along(request.Margins),
            AngularToleranceDeg = request.Margins.Angle,
            UsableTileMm = [Math.Max(0, usable.Width), Math.Max(0, usable.Height)],
            Rules = rules,
            Failures = failures,
            Filled = shown is { } size ? SizePart.From(size) : null,
            MeasuredOverlap = shown is { } area ? OverlapMeasure.Of(area, tiles) : null,
            WeakestLink = joined.Weakest,
            LargestFormat = failures.Any(failure => failure.Rule is not (FocusRule.Name or Movements.Name or ClearanceRule.Name)) && Largest(request, tiles, optical) is { } largest ? SizePart.From(largest) : null,
            Remedies = [],
            Notes = [.. request.Notes, .. optical.Notes, .. MountDepth.Note(request) is { } clamp ? [clamp] : Array.Empty<string>(), .. (clear?.Part?.Cautions ?? []).Select(caution => caution.Text)],
            Warnings = (WarningPart[])[.. optical.Warnings, .. clear?.Judged.Warnings ?? []] is { Length: > 0 } warnings ? warnings : null,
            Missing = optical.Missing is { Count: > 0 } missing ? missing : null,
            Optics = optical.Optics,
            Focus = optical.Focus,
            Clearance = clear?.Part,
            MountDepthMm = request is { Kit.Back.DatumToMountMm.IsFixed: false } ? request.Picture?.MountDepthMm : null,
            Exposure = optical.Exposure,
        };
        verdict = verdict with { Remedies = accepted ? [] : [.. Remedies.Find(request, usableTiles, tiles, verdict), .. judgements.SelectMany(judged => judged.Remedies)] };
        return verdict with { Summary = VerdictWords.Summary(verdict) };

        void Add((RulePart Rule, IReadOnlyList<FailurePart> Failures) judged)
        {
            rules.Add(judged.Rule);
            failures.AddRange(judged.Failures);
        }
    }

    // What the tiles fill, and where the circle of light is what fails, what that holds of it.
    private static PlaneSize? Largest(CheckRequest request, IReadOnlyList<TileRectangle> tiles, OpticalJudgement optical)
    {
        if (LargestFormat.OfShape(request.Format, tiles, request.Overlap) is not { } filled)
            return null;
        double factor = Math.Min(filled.Width / request.Format.Width, optical.CircleFactor);
        return factor > 0 ? Lengths.Down(new PlaneSize(factor * request.Format.Width, factor * request.Format.Height)) : null;
    }

    private static PlaneSize? Down(PlaneSize? size) => size is { } s ? Lengths.Down(s) : null;

    private static (RulePart, IReadOnlyList<FailurePart>) JudgeCoverage(IReadOnlyList<Polygon> gaps, IReadOnlyList<TileRectangle> tiles) =>
        Regions(Coverage, gaps, tiles, new("Every point of the format lies in a usable tile.",
            area => FormattableString.Invariant($"No usable tile shows {Lengths.Text(area)} mm2 of the format")));

    private static (RulePart, IReadOnlyList<FailurePart>) JudgeOverlap(CheckRequest request, IReadOnlyList<TileRectangle> tiles)
    {
        string window = Lengths.Text(request.Overlap);
        if (request.Format.ShortSide < request.Overlap - PlaneArea.Snap)
        {
            return (new() { Rule = Overlap, Outcome = RulePart.Passed, Text = $"The format is smaller than a window of {window} mm: nothing has to overlap." }, []);
        }
        IReadOnlyList<Polygon> broken = WindowRule.Broken(request.Format, tiles, new(request.Overlap, request.Overlap));
        return Regions(Overlap, broken, tiles, new($"Every window of {window} mm lies wholly in one usable tile.",
            area => FormattableString.Invariant($"No single usable tile holds the windows of {window} mm whose middle lies in these {Lengths.Text(area)} mm2")));
    }

    private static (RulePart, IReadOnlyList<FailurePart>) JudgeJoined(CheckRequest request, JoinedTiles joined)
    {
        string window = Lengths.Text(request.Overlap);
        if (joined.Groups.Count == 1)
        {
            string text = joined.Weakest is { } link
                ? $"All tiles hang together; the weakest link, {link.A} to {link.B}, shares a window of {Lengths.Text(link.SharedMm)} mm."
                : "There is only one tile.";
            return (new() { Rule = Joined, Outcome = RulePart.Passed, Text = text }, []);
        }
        FailurePart[] failures = [.. joined.Groups.Skip(1).Take(MostRegions).Select(group => new FailurePart
        {
            Rule = Joined,
            Tiles = group,
            Text = $"{(group.Count == 1 ? "Tile" : "Tiles")} {Lengths.List(group)} shares no window of {window} mm with the rest, so nothing in the picture tells where to place it.",
        })];
        return (new() { Rule = Joined, Outcome = RulePart.Failed, Text = FormattableString.Invariant($"The tiles fall into {joined.Groups.Count} groups.") }, failures);
    }

    private static (RulePart, IReadOnlyList<FailurePart>) Regions(string rule, IReadOnlyList<Polygon> regions, IReadOnlyList<TileRectangle> tiles, RegionWords words)
    {
        FailurePart[] failures = [.. regions.OrderByDescending(region => region.Area).Take(MostRegions).Select(region =>
        {
            string[] near = [.. tiles.Where(tile => tile.Touches(region)).Select(tile => tile.Id)];
            string at = near.Length == 0 ? "no tile is near" : $"at {(near.Length == 1 ? "tile" : "tiles")} {Lengths.List(near)}";
            return new FailurePart { Rule = rule, Tiles = near, AreaMm2 = region.Area, Region = PlaneArea.Rings(region), Text = $"{words.Failed(region.Area)} ({at})." };
        })];
        string text = regions.Count switch
        {
            0 => words.Passed,
            1 => words.Failed(regions[0].Area) + ".",
            _ => FormattableString.Invariant($"{words.Failed(regions.Sum(region => region.Area))}, in {regions.Count} places."),
        };
        return (new() { Rule = rule, Outcome = regions.Count == 0 ? RulePart.Passed : RulePart.Failed, Text = text }, failures);
    }

    private sealed record RegionWords(string Passed, Func<double, string> Failed);
}
