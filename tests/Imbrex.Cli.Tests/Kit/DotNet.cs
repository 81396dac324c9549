using System.Diagnostics;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>The .NET SDK and git, run as a user runs them.</summary>
internal static class DotNet
{
    /// <summary>Runs dotnet in a folder.</summary>
    public static Task<Run> RunAsync(string folder, params string[] arguments) => RunAsync("dotnet", folder, arguments);

    /// <summary>Runs a program in a folder. Of the build that runs this test nothing is handed on, and no build server is left behind.</summary>
    public static async Task<Run> RunAsync(string program, string folder, params string[] arguments)
    {
        var start = new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = folder };
        foreach (string name in start.Environment.Keys.Where(name => name.StartsWith("MSBUILD", StringComparison.OrdinalIgnoreCase) || name.StartsWith("TESTINGPLATFORM", StringComparison.OrdinalIgnoreCase)).ToArray())
            start.Environment.Remove(name);
        foreach (string name in new[] { "DOTNET_NOLOGO", "DOTNET_CLI_TELEMETRY_OPTOUT", "DOTNET_SKIP_FIRST_TIME_EXPERIENCE", "MSBUILDDISABLENODEREUSE", "NO_COLOR" })
            start.Environment[name] = "1";
        start.Environment["UseSharedCompilation"] = "false";
        // The same commit in every copy of a repository: its name is part of what is packed.
        start.Environment["GIT_AUTHOR_DATE"] = start.Environment["GIT_COMMITTER_DATE"] = "2001-01-01T00:00:00Z";
        using Process process = Process.Start(start)!;
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        return new(process.ExitCode, await output, await error);
    }

    /// <summary>Runs dotnet and requires that it succeeds.</summary>
    public static async Task<Run> SucceedAsync(string folder, params string[] arguments)
    {
        Run run = await RunAsync(folder, arguments);
        return run.ExitCode == 0 ? run : throw new InvalidOperationException($"dotnet {string.Join(' ', arguments)}\nexit code {run.ExitCode}\n{run.Output}\n{run.Error}");
    }
}
