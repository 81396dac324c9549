using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Conformance;
using Imbrex.Sdk.Testing.Fakes;
using Xunit;

namespace PASCALParts.Tests;

public class PASCALTests
{
    // Pictures and parameters of all kinds, cancelled and broken off: what is found is told with the parameters that do it and what to do.
    [Fact]
    public async Task The_target_keeps_its_word() => (await ExportConformance.CheckAsync(new PASCALExport())).Verify();

    [Fact]
    public async Task An_even_grey_stays_what_it_is()
    {
        var target = new PASCALExport();
        using var folder = new ScratchFolder();
        var request = new ExportRequest
        {
            Image = new FakeMosaicImage(400, 300) { Paint = (_, _, _) => 200 * 257 },
            Folder = folder.Path,
            BaseName = "grey",
            Parameters = ParameterValues.Bind(target.Description.Parameters, new Dictionary<string, string> { ["long-side"] = "40" }),
        };

        await target.ExportAsync(request, new Progress<double>(), TestContext.Current.CancellationToken);

        byte[] file = await File.ReadAllBytesAsync(Path.Combine(folder.Path, "grey.ppm"), TestContext.Current.CancellationToken);
        byte[] pixels = file[^(40 * 30 * 3)..];
        Assert.All(pixels, code => Assert.Equal(200, code));
    }
}
