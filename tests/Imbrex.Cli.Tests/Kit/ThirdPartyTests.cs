using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>
/// A compiled plugin of a stranger's, in a folder outside the repository: built against the packed SDK alone, tested, packed, installed at another machine, loaded and used.
/// </summary>
public sealed class ThirdPartyTests : IDisposable
{
    private readonly Person _author = new();
    private readonly Person _user = new();

    public void Dispose()
    {
        _author.Dispose();
        _user.Dispose();
    }

    [Fact]
    [Trait("Speed", "slow")]
    public async Task A_strangers_plugin_goes_from_nothing_to_a_delivered_picture()
    {
        string package = await MakeAsync();
        File.Copy(package, Path.Combine(_user.Desk, "small-view.1.0.0.nupkg"));

        Run unasked = await _user.TypeAsync("imbrex plugin add small-view.1.0.0.nupkg");
        Assert.Equal(2, unasked.ExitCode);
        Assert.DoesNotContain("small-view", (await _user.DoAsync("imbrex catalog")).Output, StringComparison.Ordinal);
        await _user.DoAsync("imbrex plugin add small-view.1.0.0.nupkg --trust");

        string catalogue = (await _user.DoAsync("imbrex catalog")).Output;
        Assert.All(["small-view", "columns"], name => Assert.Contains(name, catalogue, StringComparison.Ordinal));
        Run check = await _user.DoAsync("imbrex check columns --sensor 36x24/600x400 --format 60x30 --tolerance 0.2 --set count=4");
        Assert.StartsWith("Accepted: 4 frames", check.Output, StringComparison.Ordinal);
        await DeliverAsync();
    }

    // A layout of the articles beside the export target of the template: one assembly with two parts.
    private async Task<string> MakeAsync()
    {
        await _author.DoAsync("imbrex new export small-view --author \"A stranger\"");
        Block layout = Markdown.Blocks("layouts.md").Single(block => block.Named is [.., "Columns.cs"]);
        Block tests = Markdown.Blocks("testing.md").Single(block => block.Named is [.., "ColumnsTests.cs"]);
        await File.WriteAllTextAsync(Path.Combine(_author.Desk, "small-view", "plugin", "Columns.cs"), layout.Text, TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(Path.Combine(_author.Desk, "small-view", "tests", "ColumnsTests.cs"), tests.Text, TestContext.Current.CancellationToken);
        await _author.DoAsync("cd small-view");
        Assert.Contains("succeeded: 4", (await _author.DoAsync("dotnet test")).Output, StringComparison.Ordinal);
        await _author.DoAsync("dotnet build -c Release plugin -o out/small-view");
        RequirePackedSdkOnly();
        await _author.DoAsync("imbrex plugin pack out/small-view");
        return Path.Combine(_author.Here, "small-view.1.0.0.nupkg");
    }

    // The SDK came as a package of the program's own feed, and nothing of this repository was referred to.
    private void RequirePackedSdkOnly()
    {
        using JsonDocument assets = JsonDocument.Parse(File.ReadAllText(Path.Combine(_author.Here, "plugin", "obj", "project.assets.json")));
        JsonProperty sdk = Assert.Single(assets.RootElement.GetProperty("libraries").EnumerateObject());
        Assert.StartsWith("Imbrex.Sdk/0.1.0-local.h", sdk.Name, StringComparison.Ordinal);
        Assert.Equal("package", sdk.Value.GetProperty("type").GetString());
        Assert.False(File.Exists(Path.Combine(_author.Here, "out", "small-view", "Imbrex.Sdk.dll")));
    }

    private async Task DeliverAsync()
    {
        const string Plan = """
            {
              "schema": "imbrex/plan/1",
              "sensor": { "widthMm": 36, "heightMm": 24, "widthPx": 600, "heightPx": 400 },
              "format": { "widthMm": 56, "heightMm": 20 },
              "tiles": [ { "id": "a", "xMm": -12, "yMm": 0 }, { "id": "b", "xMm": 12, "yMm": 0 } ]
            }
            """;
        await File.WriteAllTextAsync(Path.Combine(_user.Desk, "plan.json"), Plan, TestContext.Current.CancellationToken);
        await _user.DoAsync("imbrex simulate plan.json --out frames");
        await _user.DoAsync("imbrex merge --plan plan.json --frames frames --out merged");
        Run export = await _user.DoAsync("imbrex export merged/mosaic.json --to small-view --out view --set long-side=200 --json");

        string file = Assert.Single(Directory.EnumerateFiles(Path.Combine(_user.Desk, "view"), "*.ppm"));
        byte[] picture = await File.ReadAllBytesAsync(file, TestContext.Current.CancellationToken);
        Assert.StartsWith("P6\n", System.Text.Encoding.ASCII.GetString(picture, 0, 20), StringComparison.Ordinal);
        Assert.Equal(0, export.Json.GetProperty("exitCode").GetInt32());
    }
}
