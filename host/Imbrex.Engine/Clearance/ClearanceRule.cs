using Imbrex.Engine.Planning;
using Imbrex.Sdk.Adapters;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Clearance;

/// <summary>The rule of clearance: in every setting, on every way from one to the next and while the body is turned, nothing runs into anything.</summary>
internal sealed class ClearanceRule
{
    public const string Name = "clearance";

    private const int MostFailures = 24;

    // Gaps beyond this are wide, mm.
    private const double Wide = 50;

    private readonly CheckRequest _request;
    private readonly IReadOnlyList<Passage> _passages;
    private readonly ClearanceWords _words;

    private ClearanceRule(CheckRequest request, IBack back, Passages passages)
    {
        _request = request;
        _passages = passages.Through([.. request.Tiles.Select(tile => WithSetting(tile, back))]);
        _words = new(back);
    }

    /// <summary>Follows a take through its settings; null where no parts are known that could meet.</summary>
    public static ClearanceRule? Of(CheckRequest request) => Passages.Of(request) is { } passages ? new(request, request.Back!, passages) : null;

    /// <summary>Whether the rule holds, or cannot be judged, at the depth at which the mount would stand.</summary>
    public bool Holds()
    {
        double? depth = MountDepth.Of(MountDepth.Settle(_request, this));
        return IsUnknown(depth) || _passages.All(passage => passage.Clear(depth) is not null);
    }

    /// <summary>The least depth of the mount, not below a given one, at which everything clears; null where none does.</summary>
    public double? ClearFrom(double depth) => _passages
        .SelectMany(passage => passage.Ways).SelectMany(way => way.Meetings).Where(meeting => meeting.Meets)
        .Select(meeting => meeting.Depths.To).Where(to => double.IsFinite(to) && to > depth)
        .Prepend(depth).Distinct().Order()
        .Select(one => (double?)one).FirstOrDefault(one => _passages.All(passage => passage.Clear(one) is not null));

    /// <summary>Judges at the depth at which the mount stands.</summary>
    /// <param name="depth">From the film datum to the mount, mm; null where it is not known.</param>
    /// <param name="focus">How much room the standards have left, or null.</param>
    public (Judgement Judged, ClearancePart? Part) Judge(double? depth, FocusPart? focus)
    {
        if (IsUnknown(depth))
            return (Judgement.Skipped(Name, "Not judged: seen from behind parts meet, and without back.datumToMountMm it is not known whether they do in depth."), null);
        FailurePart[] failures = [.. _passages.Where(passage => passage.Clear(depth) is null).SelectMany(passage => Failures(passage, depth)).Take(MostFailures)];
        Tightest? tightest = failures.Length > 0 ? null : FindTightest(depth);
        string passed = "Nothing runs into anything, in any setting or on the way" + (tightest is { } gap ? $"; the tightest gap is {Lengths.Safe(gap.Gap)} mm, {gap.Where}." : ".");
        var part = new ClearancePart
        {
            TightestGapMm = tightest is { } known ? Lengths.Down(known.Gap) : null,
            Cautions = [.. Cautions(depth)],
        };
        Judgement judged = Judgement.Of(Name, passed, failures) with
        {
            Warnings = [.. Warnings(tightest)],
            Remedies = failures.Length > 0 ? [.. Remedies(depth, focus)] : [],
        };
        return (judged, part);
    }

    // Parts meet as seen from behind, and whether they do in depth as well is not known.
    private bool IsUnknown(double? depth) =>
        depth is null && _passages.Any(passage => passage.Ways.Any(way => way.Meetings.Any(meeting => meeting.Meets && meeting.Depths != BlockedDepths.Always)));

    private static PlacedTile WithSetting(PlacedTile tile, IBack back) => tile.Setting is null && PoseChoice.For(tile.Pose, back)[0] is { IsReached: true } way
        ? tile with { Setting = way.Setting }
        : tile;

    private IEnumerable<FailurePart> Failures(Passage passage, double? depth)
    {
        foreach (Meeting meeting in passage.Ways[0].Meetings.Where(meeting => meeting.Meets && meeting.Depths.Block(depth)))
        {
            IReadOnlyList<Polygon> shared = meeting.Shared();
            double interference = meeting.Interference();
            string frees = double.IsFinite(meeting.Depths.To)
                ? $"they clear with the mount at {Lengths.Up(meeting.Depths.To)} mm or deeper"
                : "no depth of the mount frees them";
            yield return new()
            {
                Rule = Name,
                Text = $"{_words.Where(passage, meeting.Leg)} the {meeting.Moving.Name} runs {Lengths.Text(interference)} mm into the {meeting.Standing.Name}; {frees}.",
                Tiles = passage.Tiles,
                InterferenceMm = interference,
                FreeFromDepthMm = double.IsFinite(meeting.Depths.To) ? meeting.Depths.To : null,
                Region = PlaneArea.Rings(shared.MaxBy(piece => piece.Area)!),
                AreaMm2 = shared.Sum(piece => piece.Area),
            };
        }
    }

    private IEnumerable<RemedyPart> Remedies(double? depth, FocusPart? focus)
    {
        if (depth is not { } now)
            yield break;
        if (ClearFrom(now) is not { } free)
        {
            yield return Remedy("No depth of the mount clears everything: leave out the tiles named, or plan without this turn of the body.");
            yield break;
        }
        double deeper = free - now;
        string most = _request.Kit!.Back.DatumToMountMm is { IsFixed: false } range && free > range.Most ? $", though this mount goes no farther than {Lengths.Text(range.Most)} mm" : "";
        string reach = focus is null ? ""
            : focus.RoomInMm >= deeper ? $"; the standards then still close far enough for this focus, with {Lengths.Text(focus.RoomInMm - deeper)} mm left"
            : $"; but the standards would have to come {Lengths.Up(deeper - focus.RoomInMm)} mm closer than they do for this focus";
        yield return Remedy($"With the mount {Lengths.Up(free)} mm behind the film datum, {Lengths.Up(deeper)} mm deeper than now, everything clears{most}{reach}.");
    }

    // A way that is not the usual one has to be told.
    private IEnumerable<CautionPart> Cautions(double? depth)
    {
        foreach (Passage passage in _passages)
        {
            if (passage.Clear(depth) is { Way: { } way } clear && clear != passage.Ways[0])
                yield return new() { FromTile = passage.Tiles[0], ToTile = passage.Tiles[1], Text = _words.Otherwise(passage, way) };
        }
    }

    private IEnumerable<WarningPart> Warnings(Tightest? tightest)
    {
        double play = _request.Margins.Position.Worst;
        if (tightest is { } gap && gap.Gap < play)
            yield return new() { Rule = Name, Text = $"The tightest gap, {gap.Where}, is {Lengths.Safe(gap.Gap)} mm, and the back may miss by {Lengths.Text(play)} mm." };
    }

    private Tightest? FindTightest(double? depth)
    {
        Tightest? least = null;
        foreach (Passage passage in _passages)
        {
            foreach (Meeting meeting in passage.Clear(depth)!.Meetings.Where(meeting => meeting.Depths.Block(depth)))
            {
                double before = least?.Gap ?? Wide, gap = meeting.Gap(before);
                if (gap < before)
                    least = new(gap, $"{meeting.Moving.Name} to {meeting.Standing.Name} {ClearanceWords.Place(passage)}");
            }
        }
        return least;
    }

    private static RemedyPart Remedy(string text) => new() { Kind = Name, Text = text };

    private readonly record struct Tightest(double Gap, string Where);
}
