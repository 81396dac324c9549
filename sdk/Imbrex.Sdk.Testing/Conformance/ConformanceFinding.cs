namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Something that the suite found wrong.</summary>
/// <param name="Rule">The rule that was broken.</param>
/// <param name="What">What was wrong, one sentence with the offending value in it.</param>
/// <param name="With">What was asked for: the values of the parameters and the rest of the request.</param>
/// <param name="Remedy">What to do.</param>
/// <param name="Times">How often it was seen in this run; what is told is the first.</param>
public sealed record ConformanceFinding(ConformanceRule Rule, string What, string With, string Remedy, int Times = 1)
{
    /// <summary>The finding in words, on three lines.</summary>
    public override string ToString() => $"{Rule}: {What}{(Times > 1 ? $" (and {Times - 1} times more)" : "")}\n  with: {With}\n  do: {Remedy}";
}
