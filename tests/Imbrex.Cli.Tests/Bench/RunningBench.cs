using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using Xunit;

namespace Imbrex.Cli.Tests.Bench;

/// <summary>The bench as its users run it: a process that tells an address.</summary>
internal sealed partial class RunningBench : IAsyncDisposable
{
    private readonly Process _process;

    private RunningBench(Process process, Uri address, string firstOutput) => (_process, Address, FirstOutput) = (process, address, firstOutput);

    public Uri Address { get; }

    /// <summary>What stood on stdout when the address was there.</summary>
    public string FirstOutput { get; }

    public int ProcessId => _process.Id;

    public static async Task<RunningBench> StartAsync(params string[] arguments)
    {
        Process process = Imbrex.Start([], ["bench", .. arguments]);
        string output = "";
        while (await process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken) is { } line)
        {
            output += line + "\n";
            if (PageAddress().Match(output) is { Success: true } match && (!output.StartsWith('{') || output.EndsWith("\n}\n", StringComparison.Ordinal)))
                return new(process, new(match.Value), output);
        }
        string error = await process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        process.Dispose();
        throw new InvalidOperationException("The bench did not start.\n" + output + error);
    }

    /// <summary>Ctrl-C.</summary>
    public async Task<Run> InterruptAsync()
    {
        Process.Start("kill", ["-INT", _process.Id.ToString(CultureInfo.InvariantCulture)]).WaitForExit();
        Task<string> output = _process.StandardOutput.ReadToEndAsync(), error = _process.StandardError.ReadToEndAsync();
        await _process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return new(_process.ExitCode, FirstOutput + await output, await error);
    }

    public ValueTask DisposeAsync()
    {
        if (!_process.HasExited)
            _process.Kill();
        _process.Dispose();
        return ValueTask.CompletedTask;
    }

    [GeneratedRegex("http://127\\.0\\.0\\.1:[0-9]+/[0-9a-f]{64}/")]
    private static partial Regex PageAddress();
}
