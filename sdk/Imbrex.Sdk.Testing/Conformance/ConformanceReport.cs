namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>What a run of the suite found.</summary>
/// <param name="Part">Name of the part.</param>
/// <param name="Trials">How many requests it was given.</param>
/// <param name="Served">How many of them it served; the others it refused.</param>
/// <param name="Findings">What was wrong, one for each rule at most, in the order of the rules.</param>
public sealed record ConformanceReport(string Part, int Trials, int Served, IReadOnlyList<ConformanceFinding> Findings)
{
    /// <summary>Whether nothing was found.</summary>
    public bool IsClean => Findings.Count == 0;

    /// <summary>Returns the report if nothing was found: the one line of an author's test.</summary>
    /// <exception cref="ConformanceException">Something was found; the message tells all of it.</exception>
    public ConformanceReport Verify() => IsClean ? this : throw new ConformanceException(this);

    /// <summary>The report in words.</summary>
    public override string ToString() =>
        $"{Part}: {Trials} trials, {Served} served, {(IsClean ? "nothing found" : Findings.Count == 1 ? "1 finding" : $"{Findings.Count} findings")}"
        + string.Concat(Findings.Select(finding => "\n" + finding));
}

/// <summary>A part breaks rules of the suite.</summary>
/// <param name="report">What was found.</param>
public sealed class ConformanceException(ConformanceReport report) : Exception(report?.ToString())
{
    /// <summary>What was found.</summary>
    public ConformanceReport Report { get; } = report!;
}
