using System.Diagnostics;

namespace Imbrex.Judging;

/// <summary>A program that was run to its end.</summary>
/// <param name="ExitCode">Its exit code.</param>
/// <param name="Output">What it wrote to its standard output.</param>
/// <param name="Error">What it wrote to its standard error.</param>
/// <param name="Seconds">How long it ran, from start to end.</param>
/// <param name="CpuSeconds">Processor time that it used; null where unknown.</param>
/// <param name="PeakMb">Its most anonymous memory, 10^6 bytes; null where unknown.</param>
internal sealed record ChildProcess(int ExitCode, string Output, string Error, double Seconds, double? CpuSeconds, double? PeakMb)
{
    /// <summary>Runs a program.</summary>
    public static ChildProcess Run(string program, IEnumerable<string> arguments)
    {
        long start = Stopwatch.GetTimestamp();
        using Process process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        using var watch = new ProcessWatch(process.Id);
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return new(process.ExitCode, output, error.Result.Trim(), Stopwatch.GetElapsedTime(start).TotalSeconds, watch.CpuSeconds, watch.PeakMb);
    }
}
