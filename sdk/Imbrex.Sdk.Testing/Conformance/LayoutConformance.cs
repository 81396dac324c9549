using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Fakes;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Tries a layout with every kind of legal request and says what it does that a layout must not do.</summary>
public static class LayoutConformance
{
    private const int MostTiles = Scripting.LayoutScript.MaximumTiles;

    // What rounding may carry a tile beyond a limit, mm.
    private const double Rounding = 1e-6;

    // A layout that searches takes its time: so many of the trials are made again, on one thread and on several.
    private const int Repeated = 40;

    /// <summary>Runs the suite: <c>LayoutConformance.Check(new PairLayout()).Verify();</c></summary>
    /// <param name="layout">The layout.</param>
    /// <param name="options">How hard it is tried.</param>
    public static ConformanceReport Check(IMosaicLayout layout, LayoutConformanceOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(layout);
        options ??= new();
        var findings = new FindingList(options.Without);
        if (DescriptionCheck.Check(layout, () => layout.Description, findings) is not { } description)
            return findings.Report(layout.GetType().Name, 0, 0);
        LayoutRequest[] requests = [.. Requests(description, options)];
        var first = new List<Outcome<IReadOnlyList<Tile>>>();
        foreach (LayoutRequest request in requests)
        {
            Outcome<IReadOnlyList<Tile>> outcome = Call.Within(options.Patience, () => Arranged(layout, request));
            first.Add(outcome);
            Judge(request, outcome, isOrdinary: first.Count == 1, findings);
            if (outcome is Outcome<IReadOnlyList<Tile>>.Endless)
                return findings.Report(description.Name, first.Count, first.Count(IsServed));
        }
        Repeat(layout, requests, first, options, findings);
        return findings.Report(description.Name, requests.Length, first.Count(IsServed));
    }

    // A copy: the layout may hand out a list that it changes later.
    private static IReadOnlyList<Tile> Arranged(IMosaicLayout layout, LayoutRequest request) => layout.Arrange(request) is { } tiles ? [.. tiles] : null!;

    private static bool IsServed(Outcome<IReadOnlyList<Tile>> outcome) => outcome is Outcome<IReadOnlyList<Tile>>.Result;

    // The ordinary request as it is, then with everything about it drawn anew for every combination of the parameters.
    private static IEnumerable<LayoutRequest> Requests(PartDescription description, LayoutConformanceOptions options)
    {
        var random = new Random(options.Seed);
        ParameterValues[] values = [.. LegalValues.Of(description.Parameters, options.Trials, options.Seed)];
        foreach (ParameterValues one in values)
            yield return options.Request with { Parameters = one };
        for (int i = 0; i < options.Trials; i++)
            yield return Drawn(options.Request, random) with { Parameters = values[i % values.Length] };
    }

    private static LayoutRequest Drawn(LayoutRequest ordinary, Random random) => ordinary with
    {
        Sensor = random.Next(3) == 0 ? new(Between(random, 0.5, 100), Between(random, 0.5, 100)) : ordinary.Sensor,
        Format = new(ordinary.Format.Width * Between(random, 0.02, 3), ordinary.Format.Height * Between(random, 0.02, 3)),
        Overlap = random.Next(4) == 0 ? 0 : Between(random, 0, ordinary.Sensor.ShortSide / 2),
        PositionTolerance = new(Between(random, 0, 1), Between(random, 0, 1)),
        AngularTolerance = Between(random, 0, 1),
        Limits = random.Next(3) == 0 ? BackLimits.Unlimited : DrawnLimits(ordinary.Format, random),
        Guide = random.Next(2) == 0 ? null : new FakeGuide(),
    };

    private static BackLimits DrawnLimits(PlaneSize format, Random random)
    {
        (double width, double height) = (format.Width * Between(random, 0, 1.5), format.Height * Between(random, 0, 1.5));
        (double x, double y) = (Between(random, -10, 10), Between(random, -10, 10));
        int offered = random.Next(16);
        return new(x - width / 2, y - height / 2, x + width / 2, y + height / 2, [.. Turns.All.Where((_, i) => (offered & 1 << i) != 0)]);
    }

    private static double Between(Random random, double low, double high) => low + (high - low) * random.NextDouble();

    private static void Judge(LayoutRequest request, Outcome<IReadOnlyList<Tile>> outcome, bool isOrdinary, FindingList findings)
    {
        string with = InWords(request);
        switch (outcome)
        {
            case Outcome<IReadOnlyList<Tile>>.Endless:
                findings.Add(ConformanceRule.CallsEnd, "Arrange does not come back.", with, "Look for a loop whose step can be 0, or bound the search.");
                break;
            case Outcome<IReadOnlyList<Tile>>.Thrown { Exception: RefusalException refusal }:
                findings.Require(!isOrdinary, ConformanceRule.DefaultsServe, $"The ordinary request is refused: {refusal.Message}", with,
                    "Choose defaults that work, or give the suite a request that this layout is made for (LayoutConformanceOptions.Request).");
                RefusalCheck.Check(refusal, needsNumber: true, with, findings);
                break;
            case Outcome<IReadOnlyList<Tile>>.Thrown { Exception: var e }:
                findings.Add(ConformanceRule.NoOtherException, $"Arrange throws {e.GetType().Name}: {e.Message}", with, "Serve the request, or throw a RefusalException with the number that fails and what would work.");
                break;
            case Outcome<IReadOnlyList<Tile>>.Result { Value: var tiles }:
                Judge(request, tiles, with, findings);
                break;
        }
    }

    private static void Judge(LayoutRequest request, IReadOnlyList<Tile> tiles, string with, FindingList findings)
    {
        if (tiles is not { Count: > 0 and <= MostTiles })
        {
            findings.Add(ConformanceRule.ResultIsFinite, tiles is null ? "Arrange gives null." : $"Arrange gives {tiles.Count} tiles.", with, $"Give 1 to {MostTiles} tiles, or throw a RefusalException.");
            return;
        }
        foreach (Tile tile in tiles)
        {
            (PlanePoint c, Turn turn, double rotation) = tile.Pose;
            findings.Require(double.IsFinite(c.X) && double.IsFinite(c.Y) && double.IsFinite(rotation) && Enum.IsDefined(turn), ConformanceRule.ResultIsFinite,
                FormattableString.Invariant($"A tile stands at ({c.X}, {c.Y}) turned by {(int)turn} and {rotation} degrees."), with, "Look for a division by zero.");
            findings.Require(IsWithin(c, request.Limits), ConformanceRule.LimitsAreRespected, FormattableString.Invariant($"A tile stands at ({c.X:0.###}, {c.Y:0.###}), outside the back's limits."), with,
                "Take the limits of the request into account, and throw a RefusalException where they leave no room.");
            findings.Require(request.Limits.Turns.Contains(turn) || (Enum.IsDefined(turn) && request.Limits.Turns.Contains(turn.Plus(Turn.Half))), ConformanceRule.LimitsAreRespected,
                $"A tile is turned by {(int)turn} degrees, which the back does not offer.", with, "Use the turns in request.Limits.Turns; half a turn more or less is the same tile.");
        }
        string?[] names = [.. tiles.Select(tile => tile.Id).Where(id => id is not null)];
        findings.Require(names.Distinct(StringComparer.Ordinal).Count() == names.Length && names.All(name => !string.IsNullOrWhiteSpace(name)), ConformanceRule.NamesAreUnique,
            "Two tiles share a name, or a name is blank.", with, "Give every tile a name of its own, or none.");
    }

    private static bool IsWithin(PlanePoint centre, BackLimits limits) =>
        !(centre.X < limits.Left - Rounding || centre.X > limits.Right + Rounding || centre.Y < limits.Top - Rounding || centre.Y > limits.Bottom + Rounding);

    private static void Repeat(IMosaicLayout layout, LayoutRequest[] requests, List<Outcome<IReadOnlyList<Tile>>> first, ConformanceOptions options, FindingList findings)
    {
        int[] chosen = [.. Enumerable.Range(0, Math.Min(Repeated, requests.Length)).Select(i => i * requests.Length / Math.Min(Repeated, requests.Length)).Reverse()];
        Outcome<IReadOnlyList<Tile>>[] again = [.. chosen.Select(i => Call.Caught(() => Arranged(layout, Anew(requests[i]))))];
        Compare("again in another order", again);
        var atOnce = new Outcome<IReadOnlyList<Tile>>[chosen.Length];
        Parallel.For(0, chosen.Length, new ParallelOptions { MaxDegreeOfParallelism = options.Threads }, k => atOnce[k] = Call.Caught(() => Arranged(layout, Anew(requests[chosen[k]]))));
        Compare($"on {options.Threads} threads at once", atOnce);

        void Compare(string how, Outcome<IReadOnlyList<Tile>>[] others)
        {
            for (int k = 0; k < chosen.Length; k++)
            {
                findings.Require(IsSame(first[chosen[k]], others[k]), ConformanceRule.SameRequestSameResult, $"Asked {how}, the layout gives something else.", InWords(requests[chosen[k]]),
                    "Keep no state in the layout, use no clock and no unseeded randomness, and do not change a list that was handed out.");
            }
        }
    }

    // What a guide is told stays with it.
    private static LayoutRequest Anew(LayoutRequest request) => request.Guide is null ? request : request with { Guide = new FakeGuide() };

    private static bool IsSame(Outcome<IReadOnlyList<Tile>> a, Outcome<IReadOnlyList<Tile>> b) => (a, b) switch
    {
        (Outcome<IReadOnlyList<Tile>>.Result { Value: { } left }, Outcome<IReadOnlyList<Tile>>.Result { Value: { } right }) => left.SequenceEqual(right),
        (Outcome<IReadOnlyList<Tile>>.Thrown left, Outcome<IReadOnlyList<Tile>>.Thrown right) => left.Exception.GetType() == right.Exception.GetType() && left.Exception.Message == right.Exception.Message,
        _ => a.GetType() == b.GetType(),
    };

    private static string InWords(LayoutRequest request) => FormattableString.Invariant(
        $"{LegalValues.InWords(request.Parameters)}; sensor {request.Sensor.Width:0.###}x{request.Sensor.Height:0.###}, format {request.Format.Width:0.###}x{request.Format.Height:0.###}, overlap {request.Overlap:0.###}, tolerance {request.PositionTolerance.X:0.###}/{request.PositionTolerance.Y:0.###} mm and {request.AngularTolerance:0.###} deg, limits {InWords(request.Limits)}{(request.Guide is null ? "" : ", with a guide")}");

    private static string InWords(BackLimits limits) => limits == BackLimits.Unlimited
        ? "none"
        : FormattableString.Invariant($"x {limits.Left:0.###} to {limits.Right:0.###}, y {limits.Top:0.###} to {limits.Bottom:0.###}, turns {(limits.Turns.Count == 0 ? "none" : string.Join('/', limits.Turns.Select(turn => turn.Degrees())))}");
}
