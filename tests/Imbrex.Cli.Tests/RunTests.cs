using System.Diagnostics;
using Xunit;

namespace Imbrex.Cli.Tests;

public sealed class RunTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    private string Output => Path.Combine(_folder.Path, "out");

    public static TheoryData<string> Scripts =>
        [.. Directory.GetFiles(Path.Combine(Imbrex.Repository, "scripts", "batch"), "*.csx").Select(path => Path.GetFileName(path))];

    public void Dispose() => _folder.Dispose();

    [Theory]
    [MemberData(nameof(Scripts))]
    public async Task Every_batch_script_of_the_repository_runs(string name)
    {
        Run run = await Imbrex.RunAsync("run", $"scripts/batch/{name}", "--trust", "--in", _folder.Path, "--out", Output);

        Assert.Equal((0, ""), (run.ExitCode, run.Output));
        Assert.Contains("0 takes below", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_script_gets_its_folders_and_arguments()
    {
        Run run = await RunAsync("Log(Path.GetFileName(Input) + \" \" + Path.GetFileName(Output) + \" \" + Arguments[\"a\"]); 3", "a=-1=2");

        Assert.Equal(3, run.ExitCode);
        Assert.Contains($"{Path.GetFileName(_folder.Path)} out -1=2", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Log(\"a\")\nLog(\"b\");", "error: The script does not compile: CS1002: ; expected\n", "own.csx, line 1, column 9\n     1 | Log(\"a\")\n       |         ^\n")]
    [InlineData("Log(\"a\");\nthrow new TimeoutException(\"tea is cold\");", "error: The script failed with TimeoutException: tea is cold\n", "own.csx, line 2\n")]
    [InlineData("await Task.Yield();\nFindTakes(\"/no/such/folder\");", "error: There is no folder /no/such/folder.\n", "own.csx, line 2\n")]
    public async Task What_a_script_does_wrong_is_shown_at_its_line(string text, string what, string where)
    {
        Run run = await RunAsync(text);

        Assert.Equal((1, ""), (run.ExitCode, run.Output));
        Assert.Contains(what, run.Error, StringComparison.Ordinal);
        Assert.Contains(where, run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("SIGINT")]
    [InlineData("SIGTERM")]
    public async Task A_signal_cancels_with_130(string signal)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "There are no such signals on Windows.");
        using Process process = Start("Log(\"ready\");\nawait Task.Delay(-1, Cancellation);");
        Assert.Equal("ready", await process.StandardError.ReadLineAsync(TestContext.Current.CancellationToken));
        Signal(process, signal);
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.Equal(130, process.ExitCode);
        Assert.StartsWith("error: Cancelled", await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_second_signal_ends_a_script_that_does_not_listen()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "There are no such signals on Windows.");
        using Process process = Start("Log(\"ready\");\nCancellation.Register(() => Log(\"heard\"));\nSystem.Threading.Thread.Sleep(60000);");
        Assert.Equal("ready", await process.StandardError.ReadLineAsync(TestContext.Current.CancellationToken));
        Signal(process, "SIGINT");
        Assert.Equal("heard", await process.StandardError.ReadLineAsync(TestContext.Current.CancellationToken));
        Signal(process, "SIGINT");
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);

        Assert.NotEqual(0, process.ExitCode);
        Assert.DoesNotContain("Cancelled", await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_folder_that_cannot_be_made_is_named()
    {
        string occupied = _folder.Write("occupied", "a file");

        Run run = await Imbrex.RunAsync("run", _folder.Write("own.csx", "0"), "--trust", "--out", Path.Combine(occupied, "below"));

        Assert.Equal(1, run.ExitCode);
        Assert.StartsWith($"error: Cannot write {occupied}", run.Error, StringComparison.Ordinal);
    }

    private Task<Run> RunAsync(string text, params string[] arguments) =>
        Imbrex.RunAsync(["run", _folder.Write("own.csx", text), "--trust", "--in", _folder.Path, "--out", Output, .. arguments]);

    private Process Start(string text) => Imbrex.Start([], ["run", _folder.Write("own.csx", text), "--trust", "--in", _folder.Path, "--out", Output]);

    private static void Signal(Process process, string signal)
    {
        using Process kill = Process.Start("kill", ["-s", signal[3..], process.Id.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        kill.WaitForExit();
    }
}
