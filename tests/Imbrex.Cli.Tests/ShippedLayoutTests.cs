using System.Text.RegularExpressions;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>The program itself accepts every layout script for the format that the script's head comment names.</summary>
public partial class ShippedLayoutTests
{
    public static TheoryData<string> Names =>
        [.. Directory.GetFiles(Path.Combine(Imbrex.Repository, "scripts", "layouts"), "*.csx").Select(path => Path.GetFileName(path))];

    [Theory]
    [MemberData(nameof(Names))]
    public async Task It_is_accepted_for_the_format_that_its_comment_names(string name)
    {
        string path = $"scripts/layouts/{name}";
        Match promise = PromiseLine().Match(await File.ReadAllTextAsync(Path.Combine(Imbrex.Repository, path), TestContext.Current.CancellationToken));
        Run run = await Imbrex.RunAsync("check", path, "--sensor", promise.Groups[1].Value + "/6000x4000", "--format", promise.Groups[2].Value,
            "--overlap", promise.Groups[3].Value, "--tolerance", promise.Groups[4].Value);

        Assert.True(run.ExitCode == 0, run.Output + run.Error);
    }

    [GeneratedRegex(@"^// Accepted for: sensor (\S+), format (\S+), overlap (\S+), tolerance (\S+)\r?$", RegexOptions.Multiline)]
    private static partial Regex PromiseLine();
}
