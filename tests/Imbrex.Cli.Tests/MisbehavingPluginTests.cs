using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>What the program says of plugins that misbehave, how it ends, and that it ends.</summary>
public sealed class MisbehavingPluginTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // The thread that hangs is left behind, and the program ends all the same.
    [Fact]
    public async Task A_catalogue_with_a_constructor_that_hangs_lists_the_rest_and_ends()
    {
        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", Imbrex.MisbehavingPlugins), Imbrex.FixturesTrusted, ("IMBREX_FIXTURE_HANG", "constructor")], "catalog");

        Assert.Equal(3, run.ExitCode);
        Assert.Contains("warning: Fixtures.MisbehavingPlugin is left out. The constructor of HangingConstructor did not return within 5 s. It is left out for the rest of this run.", run.Error, StringComparison.Ordinal);
        Assert.Contains("NoDescription cannot say what it is", run.Error, StringComparison.Ordinal);
        Assert.Contains("The one that is sound", run.Output, StringComparison.Ordinal);
        Assert.Contains("regular-grid", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_back_whose_solution_never_comes_ends_the_check_in_plain_words()
    {
        string kit = _folder.Write("kit.json", "{ \"schema\": \"imbrex/kit/1\", \"body\": { \"widthMm\": 36, \"heightMm\": 24, \"widthPx\": 6000, \"heightPx\": 4000 }, \"back\": { \"adapter\": \"hanging-solve\" } }");

        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", Imbrex.MisbehavingPlugins), Imbrex.FixturesTrusted, ("IMBREX_FIXTURE_HANG", "solve")], "check", "regular-grid", "--kit", kit, "--format", "30x20");

        Assert.Equal(1, run.ExitCode);
        Assert.Contains("The part 'hanging-solve' of the plugin Fixtures.MisbehavingPlugin failed. Solve did not return within 5 s. It is left out for the rest of this run.", run.Error, StringComparison.Ordinal);
        Assert.Contains("do: Tell the plugin's author, or use another part.", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_batch_does_not_call_again_what_has_failed()
    {
        string input = Path.Combine(_folder.Path, "in"), calls = Path.Combine(_folder.Path, "calls.txt");
        foreach (string take in new[] { "east", "north", "west" })
        {
            Directory.CreateDirectory(Path.Combine(input, take));
            File.Copy(Path.Combine(Imbrex.Repository, "scripts", "kits", "quarry-rail.json"), Path.Combine(input, take, "kit.json"));
        }

        Run run = await Imbrex.RunAsync([("IMBREX_PLUGINS", Imbrex.MisbehavingPlugins), Imbrex.FixturesTrusted, ("IMBREX_FIXTURE_CALLS", calls)],
            "run", "scripts/batch/export-takes.csx", "--trust", "--in", input, "--out", Path.Combine(_folder.Path, "out"), "layout=throwing-arrange", "format=30x20");

        Assert.Equal(3, run.ExitCode);
        Assert.Equal(["throwing-arrange"], await File.ReadAllLinesAsync(calls, TestContext.Current.CancellationToken));
        Assert.Contains("The part 'throwing-arrange' of the plugin Fixtures.MisbehavingPlugin failed. InvalidOperationException: no tile today", run.Error, StringComparison.Ordinal);
        Assert.Contains("is left out for the rest of this run. InvalidOperationException: no tile today", run.Error, StringComparison.Ordinal);
    }
}
