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

    private string PlanWithATileAt(double x)
    {
        string kit = File.ReadAllText(Path.Combine(Imbrex.Repository, "scripts", "kits", "quarry-rail.json"));
        return _folder.Write("plan.json", FormattableString.Invariant($$"""
            { "schema": "imbrex/plan/1", "kit": {{kit}}, "format": { "widthMm": 30, "heightMm": 20 },
              "tiles": [ { "id": "near", "xMm": 0, "yMm": 10 }, { "id": "far", "xMm": {{x}}, "yMm": 10 } ] }
            """));
    }
}
