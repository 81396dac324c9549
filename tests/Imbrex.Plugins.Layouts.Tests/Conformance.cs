using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

/// <summary>The built-in layouts pass the suite that their own authors give to others.</summary>
public sealed class Conformance
{
    public static TheoryData<string> Names => LayoutCatalog.Names;

    [Theory]
    [MemberData(nameof(Names))]
    public void A_built_in_layout_passes_the_suite(string name)
    {
        // The search is slow where formats are large, and its own tests try it harder.
        int trials = name == "fewest-frames" ? 20 : 2000;

        ConformanceReport report = LayoutConformance.Check(LayoutCatalog.Named(name), new() { Trials = trials }).Verify();

        Assert.True(report.Served > report.Trials / 20, report.ToString());
    }
}
