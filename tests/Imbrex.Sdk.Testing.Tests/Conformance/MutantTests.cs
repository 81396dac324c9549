using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace Imbrex.Sdk.Testing.Tests.Conformance;

/// <summary>Every rule can fail: parts that are bad in one respect are found out, by the rule that is meant for it.</summary>
public sealed class MutantTests
{
    public static TheoryData<string> Names => [.. Mutants.All.Select((mutant, i) => $"{i + 1} {mutant.Name}")];

    [Theory]
    [MemberData(nameof(Names))]
    public async Task A_bad_part_is_found_out(string name)
    {
        (_, ConformanceRule rule, Func<Task<ConformanceReport>> check) = Mutants.All[int.Parse(name.Split(' ')[0]) - 1];

        ConformanceReport report = await check();

        ConformanceFinding finding = Assert.Single(report.Findings, finding => finding.Rule == rule);
        Assert.All([finding.What, finding.With, finding.Remedy], text => Assert.False(string.IsNullOrWhiteSpace(text)));
        Assert.Throws<ConformanceException>(report.Verify);
    }

    [Fact]
    public void Every_rule_has_a_part_that_breaks_it() => Assert.Equal(Enum.GetValues<ConformanceRule>(), Mutants.All.Select(mutant => mutant.Rule).Distinct().Order());
}
