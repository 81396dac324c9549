namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Gathers findings: the first of each rule is kept, the others are counted.</summary>
internal sealed class FindingList(IReadOnlyList<ConformanceRule> without)
{
    private readonly Dictionary<ConformanceRule, ConformanceFinding> _first = [];

    public void Add(ConformanceRule rule, string what, string with, string remedy)
    {
        if (without.Contains(rule))
            return;
        _first[rule] = _first.TryGetValue(rule, out ConformanceFinding? known) ? known with { Times = known.Times + 1 } : new(rule, what, with, remedy);
    }

    public void Require(bool holds, ConformanceRule rule, string what, string with, string remedy)
    {
        if (!holds)
            Add(rule, what, with, remedy);
    }

    public ConformanceReport Report(string part, int trials, int served) => new(part, trials, served, [.. _first.Values.OrderBy(finding => finding.Rule)]);
}
