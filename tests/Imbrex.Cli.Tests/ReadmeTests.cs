using System.Text.Json;
using System.Text.RegularExpressions;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>What the README promises, done as it says.</summary>
public sealed partial class ReadmeTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    // What one command installs, the next one uses.
    private (string, string)[] Surroundings =>
        [.. new[] { "PACKAGES", "KEYS", "TRUST" }.Select(place => ("IMBREX_" + place, Path.Combine(_folder.Path, "own", place)))];

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Every_command_of_the_README_works_in_the_order_of_the_README()
    {
        Copy(Path.Combine(Imbrex.Repository, "scripts"), Path.Combine(_folder.Path, "scripts"));
        string[] commands = [.. Lines().Select(line => Command().Match(line)).Where(match => match.Success).Select(match => match.Groups[1].Value)];

        Assert.True(commands.Length >= 7, "The README has lost its commands.");
        foreach (string command in commands)
        {
            Run run = await Imbrex.RunInAsync(_folder.Path, Surroundings, command.Split(' '));
            Assert.True(run.ExitCode == 0, $"imbrex {command}\nexit code {run.ExitCode}\n{run.Output}\n{run.Error}");
        }
        Assert.True(File.Exists(Path.Combine(_folder.Path, "wall", "plan.svg")));
        Assert.True(File.Exists(Path.Combine(_folder.Path, "quarry", "merged", "master.tif")));
        Assert.True(File.Exists(Path.Combine(_folder.Path, "delivered", "mosaic", "mosaic.json")));
    }

    [Fact]
    public async Task The_plan_in_the_README_is_accepted()
    {
        string plan = string.Join('\n', Lines().SkipWhile(line => line.Trim() != "{").TakeWhile(line => line.StartsWith("    ", StringComparison.Ordinal)));
        using JsonDocument json = JsonDocument.Parse(plan);
        string file = _folder.Write("plan.json", json.RootElement.GetRawText());

        Run run = await Imbrex.RunAsync("check", file, "--tolerance", "0", "--overlap", "2.4");

        Assert.True(run.ExitCode == 0, run.Output + run.Error);
    }

    [Fact]
    public void The_two_commands_stand_in_the_README()
    {
        Assert.Contains("    dotnet run -c Release --project host/Imbrex.Cli -- demo", Lines());
        Assert.Contains("    dotnet test", Lines());
    }

    private static string[] Lines() => File.ReadAllLines(Path.Combine(Imbrex.Repository, "README.md"));

    private static void Copy(string from, string to)
    {
        foreach (string file in Directory.EnumerateFiles(from, "*", SearchOption.AllDirectories))
        {
            string target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }

    [GeneratedRegex("^    imbrex (.+)$")]
    private static partial Regex Command();
}
