using System.Security.Cryptography;
using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>A kit whose adapter is a script, through the verbs.</summary>
public sealed class AdapterScriptTests : IDisposable
{
    private const string Script = "Name(\"lifted\");\nvar lift = Parameter(\"lift\", 2, Unit.Millimetre, -9, 9);\nvar x = Axis(\"the rail\"); var y = Axis(\"the post\");\nCarriage(p => new(p[x], p[y] + lift));\n";

    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task A_plan_records_the_script_and_finds_it_from_its_own_folder()
    {
        (string kit, string script) = Kit(Script);
        string plan = Path.Combine(_folder.Path, "wall", "plan.json");
        Run made = await Imbrex.RunAsync("plan", "regular-grid", "--kit", kit, "--format", "58x22", "--set", "columns=2", "--set", "rows=1", "--set", "step-x=24", "--out", plan);
        Assert.True(made.ExitCode == 0, made.Output + made.Error);
        using (JsonDocument json = JsonDocument.Parse(await File.ReadAllTextAsync(plan, TestContext.Current.CancellationToken)))
        {
            JsonElement back = json.RootElement.GetProperty("kit").GetProperty("back");
            Assert.Equal("../kit/my-back.csx", back.GetProperty("adapter").GetString());
            Assert.Equal(Convert.ToHexStringLower(SHA256.HashData(await File.ReadAllBytesAsync(script, TestContext.Current.CancellationToken))), back.GetProperty("adapterSha256").GetString());
            Assert.Equal(-2, json.RootElement.GetProperty("tiles")[0].GetProperty("setting").GetProperty("positions")[1].GetDouble(), 1e-9);
        }
        Run again = await Imbrex.RunInAsync(Path.GetDirectoryName(plan)!, "check", "plan.json");
        Assert.True(again.ExitCode == 0, again.Output + again.Error);
        Assert.DoesNotContain("SHA-256", again.Output + again.Error, StringComparison.Ordinal);

        await File.AppendAllTextAsync(script, "// changed\n", TestContext.Current.CancellationToken);
        Run changed = await Imbrex.RunAsync("check", plan);
        Assert.Equal(0, changed.ExitCode);
        Assert.Contains("is not the one that this was made with", changed.Output + changed.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_the_script_a_plan_is_merged_and_not_judged()
    {
        (string kit, string script) = Kit(Script);
        string plan = Path.Combine(_folder.Path, "plan.json"), frames = Path.Combine(_folder.Path, "frames");
        Run made = await Imbrex.RunAsync("plan", "regular-grid", "--kit", kit, "--format", "58x22", "--set", "columns=2", "--set", "rows=1", "--set", "step-x=24", "--out", plan);
        Assert.True(made.ExitCode == 0, made.Output + made.Error);
        File.Delete(script);

        Run shot = await Imbrex.RunAsync("simulate", plan, "--out", frames);
        Assert.True(shot.ExitCode == 0, shot.Error);
        Run merged = await Imbrex.RunAsync("merge", "--plan", plan, "--frames", frames, "--out", Path.Combine(_folder.Path, "merged"));
        Assert.True(merged.ExitCode == 0, merged.Error);
        Run judged = await Imbrex.RunAsync("check", plan);
        Assert.Equal(1, judged.ExitCode);
        Assert.Contains("Cannot read the script", judged.Error, StringComparison.Ordinal);
        Assert.Contains("my-back.csx", judged.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Scripts_of_the_wrong_kind_are_refused_in_plain_words()
    {
        (string kit, _) = Kit("Name(\"a\");\nTile(0, 0);\n");
        Run layout = await Imbrex.RunAsync("check", "regular-grid", "--kit", kit, "--format", "58x22");
        Assert.Equal(1, layout.ExitCode);
        Assert.Contains("This is a layout script: it places tiles.", layout.Error, StringComparison.Ordinal);
        Run adapter = await Imbrex.RunAsync("check", "scripts/adapters/disc-on-rail.csx", "--sensor", "36x24/6000x4000", "--format", "58x22");
        Assert.Equal(1, adapter.ExitCode);
        Assert.Contains("Name it in the kit as back.adapter", adapter.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_catalogue_lists_adapter_scripts_beside_layouts()
    {
        Run run = await Imbrex.RunAsync("catalog", "--scripts", "scripts/adapters", "--json");
        JsonElement disc = run.Json.GetProperty("data").EnumerateArray().Single(part => part.GetProperty("name").GetString() == "disc-on-rail");
        Assert.Equal(("adapter", "script", "radius"), (disc.GetProperty("kind").GetString(), disc.GetProperty("origin").GetString(), disc.GetProperty("parameters")[0].GetProperty("name").GetString()));
    }

    [Fact]
    public async Task A_carriage_that_never_answers_ends_the_check_at_its_line()
    {
        (string kit, _) = Kit(Script.Replace("new(p[x]", "new(Stuck(p[x])", StringComparison.Ordinal) + "double Stuck(double x) { while (x > 3 && x < 4) ; return x; }\n");
        Run run = await Imbrex.RunAsync("check", "regular-grid", "--kit", kit, "--format", "58x22");
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("The script did not finish within 5 s.", run.Error, StringComparison.Ordinal);
        Assert.Contains("my-back.csx, line 4\n     4 | Carriage(p", run.Error, StringComparison.Ordinal);
    }

    private (string Kit, string Script) Kit(string script)
    {
        string path = _folder.Write("kit/my-back.csx", script);
        return (_folder.Write("kit/kit.json", """
            {
              "schema": "imbrex/kit/1",
              "body": { "widthMm": 36, "heightMm": 24, "widthPx": 540, "heightPx": 360 },
              "back": {
                "adapter": "my-back.csx", "parameters": { "lift": 2 }, "angularToleranceDeg": 0.2,
                "axes": [ { "minMm": -30, "maxMm": 30, "toleranceMm": 0.2 }, { "minMm": -10, "maxMm": 10, "toleranceMm": 0.2 } ]
              }
            }
            """), path);
    }
}
