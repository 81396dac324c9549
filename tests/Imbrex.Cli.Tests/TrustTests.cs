using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>A batch script runs with the user's rights only after a yes to just its bytes.</summary>
public sealed class TrustTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    private string Store => Path.Combine(_folder.Path, "trust.json");

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Where_nobody_can_be_asked_an_unknown_script_is_refused_and_nothing_runs()
    {
        string proof = Path.Combine(_folder.Path, "proof.txt");
        Run run = await RunAsync($"File.WriteAllText(@\"{proof}\", \"ran\");");
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("own.csx is not trusted yet, and nobody is there to ask. SHA-256 ", run.Error, StringComparison.Ordinal);
        Assert.Contains("--trust", run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(proof));
        Assert.False(File.Exists(Store));
        Assert.False(Directory.Exists(Path.Combine(_folder.Path, "out")));
    }

    [Fact]
    public async Task A_yes_is_remembered_until_the_script_changes()
    {
        Assert.Equal(0, (await RunAsync("Log(\"one\");", "--trust")).ExitCode);
        Run again = await RunAsync("Log(\"one\");");
        Assert.Equal(0, again.ExitCode);
        Assert.Contains("one", again.Error, StringComparison.Ordinal);

        Run changed = await RunAsync("Log(\"two\");");
        Assert.Equal(2, changed.ExitCode);
        Assert.Contains("own.csx has changed since you trusted it", changed.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("two", changed.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_damaged_store_trusts_nothing_and_is_named()
    {
        await File.WriteAllTextAsync(Store, "{ \"schema\": \"imbrex/trust/1\", \"trusted\": [ null ] }", TestContext.Current.CancellationToken);
        Run run = await RunAsync("Log(\"one\");", "--trust");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("The file of what is trusted cannot be read.", run.Error, StringComparison.Ordinal);
        Assert.Contains(Store, run.Error, StringComparison.Ordinal);
    }

    private Task<Run> RunAsync(string text, params string[] options) => Imbrex.RunAsync(
        [("IMBREX_TRUST", Store)], ["run", _folder.Write("own.csx", text), "--in", _folder.Path, "--out", Path.Combine(_folder.Path, "out"), .. options]);
}
