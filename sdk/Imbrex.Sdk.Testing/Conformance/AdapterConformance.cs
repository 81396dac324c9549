using Imbrex.Sdk.Adapters;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Tries an adapter geometry with specimens of all kinds and says what its kinematics do that they must not do.</summary>
public static class AdapterConformance
{
    // Settings tried of every specimen.
    private const int Settings = 12;

    /// <summary>Runs the suite: <c>AdapterConformance.Check(new Rail(), new BackSpec { Axes = [new() { Minimum = -40, Maximum = 40 }] }).Verify();</c></summary>
    /// <param name="geometry">The geometry.</param>
    /// <param name="specimen">A back of this kind as it would stand in a kit, with every axis. Others are made from it.</param>
    /// <param name="options">How hard it is tried.</param>
    public static ConformanceReport Check(IAdapterGeometry geometry, BackSpec specimen, AdapterConformanceOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(geometry);
        ArgumentNullException.ThrowIfNull(specimen);
        options ??= new();
        var findings = new FindingList(options.Without);
        if (DescriptionCheck.Check(geometry, () => geometry.Description, findings) is not { } description)
            return findings.Report(geometry.GetType().Name, 0, 0);
        BackSpec given = specimen.Parameters.Count == 0 ? specimen with { Parameters = Parameters.ParameterValues.Bind(description.Parameters) } : specimen;
        var random = new Random(options.Seed);
        int trials = 0, served = 0;
        foreach (BackSpec spec in Specimens.Legal(given, description, options.Trials, options.Seed))
        {
            trials++;
            string with = InWords(spec);
            Outcome<IBack> built = Call.Within(options.Patience, () => geometry.Build(spec));
            JudgeBuild(built, isOrdinary: trials == 1, with, findings);
            if (built is Outcome<IBack>.Endless)
                break;
            if (built is not Outcome<IBack>.Result { Value: { } back })
                continue;
            served++;
            Outcome<bool> tried = Call.Within(options.Patience, () => Try(back, spec, with, random, options, findings));
            if (tried is Outcome<bool>.Endless)
            {
                findings.Add(ConformanceRule.CallsEnd, "A method of the back does not come back.", with, "Look for an iteration without an end.");
                break;
            }
            if (tried is Outcome<bool>.Thrown { Exception: var e })
                findings.Add(ConformanceRule.NoOtherException, $"A method of the back throws {e.GetType().Name}: {e.Message}", with, "Answer for every legal setting and every pose: out of reach is a solution with a reason.");
        }
        RefuseBad(geometry, given, options, findings);
        return findings.Report(description.Name, trials, served);
    }

    private static bool Try(IBack back, BackSpec spec, string with, Random random, AdapterConformanceOptions options, FindingList findings)
    {
        var trial = new BackTrial(back, spec, setting => options.HasSetting(spec, setting), with, findings);
        trial.CheckFacts();
        Setting[] settings = [.. Enumerable.Range(0, Settings).Select(i => trial.AnySetting(random, atEnds: i < 3)).Where(setting => options.HasSetting(spec, setting))];
        foreach (Setting setting in settings)
            trial.CheckSetting(setting, settings, random);
        trial.CheckCosts(settings);
        trial.CheckRepeats(settings, options.Threads);
        return true;
    }

    private static void JudgeBuild(Outcome<IBack> built, bool isOrdinary, string with, FindingList findings)
    {
        switch (built)
        {
            case Outcome<IBack>.Endless:
                findings.Add(ConformanceRule.CallsEnd, "Build does not come back.", with, "Look for a loop without an end.");
                break;
            case Outcome<IBack>.Result { Value: null }:
                findings.Add(ConformanceRule.ResultIsFinite, "Build gives null.", with, "Give a back, or throw an InputException.");
                break;
            case Outcome<IBack>.Thrown { Exception: InputException refusal }:
                findings.Require(!isOrdinary, ConformanceRule.DefaultsServe, $"The specimen is refused: {refusal.Message}", with, "Accept it, or give the suite a specimen that this geometry is made for.");
                RefusalCheck.Check(refusal, needsNumber: false, with, findings);
                break;
            case Outcome<IBack>.Thrown { Exception: var e }:
                findings.Add(ConformanceRule.NoOtherException, $"Build throws {e.GetType().Name}: {e.Message}", with, "Build the back, or throw an InputException that says what makes no sense.");
                break;
        }
    }

    private static void RefuseBad(IAdapterGeometry geometry, BackSpec given, ConformanceOptions options, FindingList findings)
    {
        foreach ((string wrong, BackSpec spec) in Specimens.Bad(given))
        {
            Outcome<IBack> built = Call.Within(options.Patience, () => geometry.Build(spec));
            string ending = built is Outcome<IBack>.Thrown { Exception: var e } ? $"throws {e.GetType().Name}" : "accepts it";
            findings.Require(built is Outcome<IBack>.Thrown { Exception: InputException }, ConformanceRule.BadSpecimensAreRefused, $"A specimen with {wrong} is not refused: Build {ending}.", wrong,
                "Check the specimen first and throw an InputException: what is wrong, the field of the kit, what to write.");
        }
    }

    private static string InWords(BackSpec spec) => FormattableString.Invariant(
        $"{LegalValues.InWords(spec.Parameters)}; axes {string.Join(", ", spec.Axes.Select(axis => FormattableString.Invariant($"{axis.Minimum:0.###} to {axis.Maximum:0.###}{(axis.Detents.Count > 0 ? $" at {string.Join('/', axis.Detents.Select(detent => FormattableString.Invariant($"{detent:0.###}")))}" : "")}")))}; turns {string.Join('/', spec.Turns.Select(turn => (int)turn.Turn))}; {spec.Seats.Count} seats");
}
