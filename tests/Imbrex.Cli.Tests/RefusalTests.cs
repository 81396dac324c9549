using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>What is well-formed but breaks a rule: exit code 2, the reason in words and for machines, nothing written.</summary>
public sealed class RefusalTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task A_tile_beyond_the_travel_is_named_with_the_reason()
    {
        string plan = PlanWithATileAt(60);

        Run run = await Imbrex.RunAsync("check", plan);

        Assert.True(run.ExitCode == 2, run.Error);
        Assert.Contains("Tile far at (60, 10) mm is out of reach", run.Output, StringComparison.Ordinal);
        Assert.Contains("ends at 34 mm", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Machines_get_every_failure_with_its_rule_and_tile()
    {
        Run run = await Imbrex.RunAsync("check", PlanWithATileAt(60), "--json");

        Assert.Equal(2, run.ExitCode);
        Assert.Equal("refused", run.Json.GetProperty("verdict").GetString());
        JsonElement reach = run.Json.GetProperty("findings").EnumerateArray().Single(finding => finding.GetProperty("code").GetString() == "reach");
        Assert.Equal("error", reach.GetProperty("severity").GetString());
        Assert.Equal("far", reach.GetProperty("tile").GetString());
    }

    [Fact]
    public async Task A_refused_layout_writes_no_plan()
    {
        string output = Path.Combine(_folder.Path, "new", "plan.json");

        Run run = await Imbrex.RunAsync("plan", "regular-grid", "--kit", "scripts/kits/quarry-rail.json", "--format", "88x42",
            "--set", "columns=3", "--set", "rows=2", "--set", "step-x=45", "--set", "step-y=20", "--out", output);

        Assert.True(run.ExitCode == 2, run.Error);
        Assert.Contains("ends at -34.3 mm", run.Output, StringComparison.Ordinal);
        Assert.Empty(Directory.EnumerateFileSystemEntries(_folder.Path));
    }

    // Kits that cannot make the picture: the number that fails, and the nearest thing that would do. What is said first is changed in the shipped kit, the rest is its own.
    [Theory]
    [InlineData("a circle smaller than the format", "\"lightCircleMm\": 210", "\"lightCircleMm\": 90", "", "outside the circle of light of 90 mm", "would do: Ask for a format of ")]
    [InlineData("no focus at infinity", "\"boardToFilmMinMm\": 70", "\"boardToFilmMinMm\": 140", "", "140 mm", "would do: The farthest that this kit focuses is ")]
    [InlineData("a throat that is black at a corner", "\"sizeMm\": [46]", "\"sizeMm\": [30]", "", "it is black there at f/16", "would do: Ask for a format of ")]
    [InlineData("an extension beyond the camera's", "\"boardToFilmMaxMm\": 320", "\"boardToFilmMaxMm\": 160", "--magnification 0.5", "the standards go no farther than 160 mm", "would do: The nearest that this kit focuses is ")]
    public async Task A_kit_that_cannot_is_refused_with_the_number_and_what_would_do(string what, string usual, string faulty, string options, string number, string remedy)
    {
        string json = File.ReadAllText(Path.Combine(Imbrex.Repository, "scripts", "kits", "rail-with-lens.json"));
        Assert.Contains(usual, json, StringComparison.Ordinal);
        string kit = _folder.Write("kit.json", json.Replace(usual, faulty, StringComparison.Ordinal));
        string output = Path.Combine(_folder.Path, "plan.json");

        Run run = await Imbrex.RunAsync(["plan", "regular-grid", "--kit", kit, "--format", "86x41", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=27", "--set", "step-y=20",
            "--aperture", "16", .. options.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--out", output]);

        Assert.True(run.ExitCode == 2, $"{what}: {run.Output}{run.Error}");
        Assert.Contains(number, run.Output, StringComparison.Ordinal);
        Assert.Contains(remedy, run.Output, StringComparison.Ordinal);
        Assert.False(File.Exists(output));
    }

    private string PlanWithATileAt(double x)
    {
        string kit = File.ReadAllText(Path.Combine(Imbrex.Repository, "scripts", "kits", "quarry-rail.json"));
        return _folder.Write("plan.json", FormattableString.Invariant($$"""
            { "schema": "imbrex/plan/1", "kit": {{kit}}, "format": { "widthMm": 30, "heightMm": 20 },
              "tiles": [ { "id": "near", "xMm": 0, "yMm": 10 }, { "id": "far", "xMm": {{x}}, "yMm": 10 } ] }
            """));
    }

    [Theory]
    [InlineData("nosuch.csx", "There is no script nosuch.csx.")]
    [InlineData("regular-gird", "regular-gird")]
    public async Task A_bench_without_its_layout_does_not_start(string layout, string says)
    {
        Run run = await Imbrex.RunAsync("bench", layout, "--sensor", "36x24/6000x4000", "--format", "80x40");
        Assert.Equal((1, ""), (run.ExitCode, run.Output));
        Assert.Contains(says, run.Error, StringComparison.Ordinal);
    }
}
