using System.Diagnostics;
using System.Text;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>
/// Someone at a machine of their own: a folder to work in, a home in which the program keeps what is theirs, and command lines as they are typed. NuGet finds what the build of these tests has
/// fetched, and nothing from the network; what it makes of the program's own packages stays with the person.
/// </summary>
internal sealed class Person : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    /// <summary>Sits down at an empty desk.</summary>
    public Person()
    {
        Desk = Directory.CreateDirectory(Path.Combine(_folder.Path, "desk")).FullName;
        Here = Desk;
        _folder.Write("nuget.config", "<configuration><packageSources><clear /></packageSources></configuration>");
        // The desk may stand in a clone of the repository, whose rules for its own builds are not for what is written there.
        foreach (string rules in new[] { "Directory.Build.props", "Directory.Build.targets", "Directory.Packages.props" })
            File.Copy(Path.Combine(Imbrex.Repository, rules), Path.Combine(_folder.Path, rules));
    }

    /// <summary>The folder to work in.</summary>
    public string Desk { get; }

    /// <summary>The folder the person is in just now; <c>cd</c> changes it.</summary>
    public string Here { get; private set; }

    /// <summary>Types a line: <c>imbrex …</c>, <c>dotnet …</c> or <c>cd …</c>.</summary>
    public async Task<Run> TypeAsync(string line)
    {
        string[] words = Words(line);
        if (words is ["cd", string folder])
        {
            Here = Path.GetFullPath(Path.Combine(Here, folder));
            return new(0, "", "");
        }
        return words[0] switch
        {
            "imbrex" => await StartAsync([Imbrex.Program, .. words[1..]]),
            "dotnet" => await StartAsync(words[1..]),
            _ => throw new ArgumentException($"Nobody here knows how to run '{line}'.", nameof(line)),
        };
    }

    /// <summary>Types a line and requires that it does what it says.</summary>
    public async Task<Run> DoAsync(string line)
    {
        Run run = await TypeAsync(line);
        return run.ExitCode == 0 ? run : throw new InvalidOperationException($"{line}\nexit code {run.ExitCode}\n{run.Output}\n{run.Error}");
    }

    public void Dispose() => _folder.Dispose();

    private async Task<Run> StartAsync(string[] arguments)
    {
        var start = new ProcessStartInfo("dotnet", arguments) { RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = Here };
        DotNet.Prepare(start);
        foreach (string name in start.Environment.Keys.Where(name => name.StartsWith("IMBREX_", StringComparison.Ordinal)).ToArray())
            start.Environment.Remove(name);
        // Where .NET looks for a user's application data, on Linux and on macOS.
        start.Environment["XDG_DATA_HOME"] = start.Environment["HOME"] = Path.Combine(_folder.Path, "home");
        start.Environment["DOTNET_CLI_HOME"] = Path.Combine(_folder.Path, "home");
        start.Environment["NUGET_PACKAGES"] = Path.Combine(_folder.Path, "home", "packages");
        start.Environment["NUGET_FALLBACK_PACKAGES"] = DotNet.Packages;
        using Process process = Process.Start(start)!;
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        return new(process.ExitCode, await output, await error);
    }

    // Blanks part words, but not between quotation marks.
    private static string[] Words(string line)
    {
        var words = new List<string>();
        var word = new StringBuilder();
        bool quoted = false;
        foreach (char c in line + " ")
        {
            if (c == '"')
                quoted = !quoted;
            else if (c != ' ' || quoted)
                word.Append(c);
            else if (word.Length > 0)
            {
                words.Add(word.ToString());
                word.Clear();
            }
        }
        return [.. words];
    }
}
