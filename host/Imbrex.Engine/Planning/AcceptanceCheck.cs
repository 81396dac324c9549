using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Planning;

/// <summary>Judges a layout by the rules of reach, coverage, overlap and joined. Pure: the same request gives the same verdict.</summary>
public static class AcceptanceCheck
{
    internal const string Coverage = "coverage";
    internal const string Overlap = "overlap";
    internal const string Joined = "joined";

    // A layout that misses everywhere has thousands of gaps; the largest say enough.
    private const int MostRegions = 50;

    /// <summary>Applies the rules.</summary>
    /// <exception cref="InputException">No tile, a size that is not above 0, a negative overlap or tolerance, or a number that is not finite.</exception>
    public static VerdictDocument Judge(CheckRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        RequestCheck.Validate(request);
        TileRectangle[] tiles = [.. request.Tiles.Select(tile => TileRectangle.Usable(tile, request.Sensor, request.Margins))];
        var rules = new List<RulePart>();
        var failures = new List<FailurePart>();
        Add(Reach.Judge(request.Tiles, request.Back));
        (RulePart covered, IReadOnlyList<FailurePart> gaps) = JudgeCoverage(request, tiles);
        Add((covered, gaps));
        Add(JudgeOverlap(request, tiles));
        JoinedTiles joined = JoinedTiles.Find(tiles, request.Overlap);
        Add(JudgeJoined(request, joined));

        bool accepted = failures.Count == 0;
        PlaneSize usable = request.Margins.Usable(request.Sensor);
        PlaneSize? filled = gaps.Count == 0 ? request.Format : Down(LargestFormat.Filled(request.Format, tiles));
        var verdict = new VerdictDocument
        {
            Schema = VerdictDocument.SchemaName,
            Accepted = accepted,
            Summary = "",
            Frames = tiles.Length,
            Format = SizePart.From(request.Format),
            OverlapMm = request.Overlap,
            ToleranceMm = request.Margins.Position,
            AngularToleranceDeg = request.Margins.Angle,
            UsableTileMm = [Math.Max(0, usable.Width), Math.Max(0, usable.Height)],
            Rules = rules,
            Failures = failures,
            Filled = filled is { } size ? SizePart.From(size) : null,
            MeasuredOverlap = filled is { } area ? OverlapMeasure.Of(area, tiles) : null,
            WeakestLink = joined.Weakest,
            LargestFormat = !accepted && Down(LargestFormat.OfShape(request.Format, tiles, request.Overlap)) is { } largest ? SizePart.From(largest) : null,
            Remedies = [],
            Notes = request.Notes,
        };
        verdict = verdict with { Remedies = accepted ? [] : Remedies.Find(request, tiles, verdict) };
        return verdict with { Summary = VerdictWords.Summary(verdict) };

        void Add((RulePart Rule, IReadOnlyList<FailurePart> Failures) judged)
        {
            rules.Add(judged.Rule);
            failures.AddRange(judged.Failures);
        }
    }

    private static PlaneSize? Down(PlaneSize? size) => size is { } s ? Lengths.Down(s) : null;

    private static (RulePart, IReadOnlyList<FailurePart>) JudgeCoverage(CheckRequest request, IReadOnlyList<TileRectangle> tiles)
    {
        IReadOnlyList<Polygon> gaps = WindowRule.Broken(request.Format, tiles, default);
        return Regions(Coverage, gaps, tiles, new("Every point of the format lies in a usable tile.",
            area => FormattableString.Invariant($"No usable tile shows {Lengths.Text(area)} mm2 of the format")));
    }

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
