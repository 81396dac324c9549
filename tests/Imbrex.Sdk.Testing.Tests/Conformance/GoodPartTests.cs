using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace Imbrex.Sdk.Testing.Tests.Conformance;

/// <summary>Nothing is found where nothing is wrong; what is tried is really tried.</summary>
public sealed class GoodPartTests
{
    internal static BackSpec Specimen { get; } = new()
    {
        Axes = [new() { Minimum = -40, Maximum = 40, Tolerance = 0.1 }, new() { Minimum = -20, Maximum = 20, Detents = [-20, 0, 20], Tolerance = 0.1 }],
        Turns = [new(Turn.None), new(Turn.Quarter)],
        AngularTolerance = 0.2,
        DatumToMount = new(10, 12),
        Opening = new(120, 90),
    };

    // FakeBack is faultless and has one seat: specimens that are askew or turned over are not for it.
    internal static AdapterConformanceOptions FewFaults { get; } = new()
    {
        Without = [ConformanceRule.LimitsAreRespected, ConformanceRule.InverseFindsThePose],
    };

    [Fact]
    public void Nothing_is_found_wrong_with_a_good_layout()
    {
        ConformanceReport report = LayoutConformance.Check(new PairLayout()).Verify();

        Assert.InRange(report.Served, report.Trials / 4, report.Trials - 1);
        Assert.Equal("pair", report.Part);
    }

    [Fact]
    public void Nothing_is_found_wrong_with_a_good_back() => Assert.True(AdapterConformance.Check(new PlainSlide(), Specimen, FewFaults).Verify().Served > 100);

    [Fact]
    public async Task Nothing_is_found_wrong_with_a_good_export_target() => Assert.Equal(1, (await ExportConformance.CheckAsync(new RowsExport())).Verify().Served);

    [Fact]
    public void The_same_seed_makes_the_same_report()
    {
        var bad = new PairLayout { Spoil = (tiles, request) => request.Format.Width > 100 ? [] : tiles };

        Assert.Equal(LayoutConformance.Check(bad).ToString(), LayoutConformance.Check(bad).ToString());
        Assert.NotEqual(LayoutConformance.Check(bad).ToString(), LayoutConformance.Check(bad, new() { Seed = 2 }).ToString());
    }

    [Fact]
    public void A_finding_says_what_was_wrong_with_which_request_and_what_to_do()
    {
        var bad = new PairLayout { Spoil = (tiles, request) => request.Parameters["step"] > 35 ? [new(new(new(double.NaN, 0)))] : tiles };

        var thrown = Assert.Throws<ConformanceException>(() => LayoutConformance.Check(bad).Verify());

        Assert.Matches(@"^pair: \d+ trials, \d+ served, 1 finding\nResultIsFinite: A tile stands at \(NaN, 0\) turned by 0 and 0 degrees\. \(and \d+ times more\)\n  with: step=36; sensor 36x24, format 60x20, .*\n  do: Look for a division by zero\.", thrown.Message);
        Assert.Equal(ConformanceRule.ResultIsFinite, Assert.Single(thrown.Report.Findings).Rule);
    }

    [Fact]
    public void A_rule_that_does_not_hold_for_a_part_can_be_left_out()
    {
        var bad = new PairLayout { Spoil = (tiles, _) => [.. tiles.Select(tile => tile with { Id = "same" })] };

        Assert.False(LayoutConformance.Check(bad).IsClean);
        Assert.True(LayoutConformance.Check(bad, new() { Without = [ConformanceRule.NamesAreUnique] }).IsClean);
    }
}
