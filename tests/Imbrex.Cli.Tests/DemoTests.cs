using System.Globalization;
using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>The first command that a new user runs.</summary>
public sealed class DemoTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task The_demo_places_its_tiles_and_leaves_what_it_lists()
    {
        string output = Path.Combine(_folder.Path, "quarry");

        Run run = await Imbrex.RunAsync("demo", "--out", output, "--json");

        Assert.True(run.ExitCode == 0, run.Error);
        JsonElement result = run.Json;
        Assert.All(result.GetProperty("files").EnumerateArray(), file => Assert.True(File.Exists(file.GetString())));
        Assert.True(result.GetProperty("data").GetProperty("rmsPx").GetDouble() <= 0.1);
        string report = await File.ReadAllTextAsync(Path.Combine(output, "report.html"), TestContext.Current.CancellationToken);
        Assert.Contains("Found and true", report, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(output, "*.part", SearchOption.AllDirectories));
    }

    [Fact]
    public async Task Without_a_folder_the_demo_takes_the_first_free_one_and_says_so()
    {
        Directory.CreateDirectory(Path.Combine(_folder.Path, "imbrex-demo"));

        Run run = await Imbrex.RunInAsync(_folder.Path, "demo");

        Assert.True(run.ExitCode == 0, run.Error);
        Assert.Contains(Path.Combine("imbrex-demo-2", "report.html"), run.Output, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(Path.Combine(_folder.Path, "imbrex-demo")));
        string error = run.Output.Split('\n').Single(line => line.StartsWith("Placed within", StringComparison.Ordinal)).Split(' ')[2];
        Assert.True(double.Parse(error, CultureInfo.InvariantCulture) <= 0.1);
    }

    [Fact]
    public async Task A_folder_that_exists_is_not_touched()
    {
        string file = _folder.Write("mine.txt", "precious");

        Run run = await Imbrex.RunAsync("demo", "--out", _folder.Path);

        Assert.Equal(1, run.ExitCode);
        Assert.Contains("--force", run.Error, StringComparison.Ordinal);
        Assert.Equal([file], Directory.EnumerateFileSystemEntries(_folder.Path));
    }
}
