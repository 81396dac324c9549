using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace Imbrex.Plugins.Exports.Tests;

/// <summary>The built-in export targets pass the suite that their own authors give to others.</summary>
public sealed class Conformance
{
    [Theory]
    [InlineData("tiff-master")]
    [InlineData("jpeg-access")]
    public async Task A_built_in_target_passes_the_suite(string name)
    {
        IExportTarget target = name == "tiff-master" ? new TiffMaster() : new JpegAccess();

        // A busy machine may keep a thread waiting for longer than the export works on.
        ConformanceReport report = (await ExportConformance.CheckAsync(target, new() { CancellationPatience = TimeSpan.FromSeconds(20) })).Verify();

        Assert.True(report.Served > report.Trials / 2, report.ToString());
    }
}
