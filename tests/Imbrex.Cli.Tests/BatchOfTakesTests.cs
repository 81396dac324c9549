using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>The batch script of the repository on real, small takes: planned, merged and exported by the built program.</summary>
public sealed class BatchOfTakesTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    private string Input => Path.Combine(_folder.Path, "quarry");

    private string Output => Path.Combine(_folder.Path, "delivered");

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Takes_are_merged_and_exported_and_a_second_run_skips_them()
    {
        Shoot("north", seed: 1);
        Shoot("south", seed: 2);

        Run first = await RunAsync();
        Assert.True(first.ExitCode == 0, first.Error);
        string jpeg = Assert.Single(Directory.GetFiles(Path.Combine(Output, "north", "jpeg-access")));
        using (NetVips.Image picture = NetVips.Image.NewFromFile(jpeg, failOn: NetVips.Enums.FailOn.Error))
            Assert.Equal("north", Path.GetFileNameWithoutExtension(jpeg));
        DateTime written = File.GetLastWriteTimeUtc(Path.Combine(Output, "south", "mosaic", "master.tif"));

        Run second = await RunAsync();
        Assert.Equal(0, second.ExitCode);
        Assert.Contains("north: merged already", second.Error, StringComparison.Ordinal);
        Assert.Contains("south: exported already (jpeg-access)", second.Error, StringComparison.Ordinal);
        Assert.Equal(written, File.GetLastWriteTimeUtc(Path.Combine(Output, "south", "mosaic", "master.tif")));
    }

    [Fact]
    public async Task A_take_with_a_missing_frame_is_named_and_the_other_is_delivered()
    {
        Shoot("north", seed: 1);
        Shoot("south", seed: 2);
        File.Delete(Directory.GetFiles(Path.Combine(Input, "south", "frames"), "*.tif")[0]);

        Run run = await RunAsync();

        Assert.Equal((3, ""), (run.ExitCode, run.Output));
        Assert.Contains($"left out: {Path.Combine("south", "plan.json")}: The plan has 2 tiles, but the folder holds 1 pictures.", run.Error, StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(Output, "north", "mosaic", "mosaic.json")));
        Assert.False(Directory.Exists(Path.Combine(Output, "south")));
    }

    [Fact]
    public async Task A_folder_with_only_a_kit_is_planned()
    {
        Directory.CreateDirectory(Path.Combine(Input, "west"));
        File.Copy(Path.Combine(Imbrex.Repository, "scripts", "kits", "quarry-rail.json"), Path.Combine(Input, "west", "kit.json"));

        Run run = await RunAsync("layout=regular-grid", "format=88x42", "layout.columns=3", "layout.rows=2", "layout.step-x=27", "layout.step-y=20");

        // Planned, but nothing is shot yet: the merge has to leave it out.
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("left out: ", run.Error, StringComparison.Ordinal);
        Assert.Equal(6, JsonDocuments.Read<PlanDocument>(Path.Combine(Input, "west", "plan.json"), PlanDocument.SchemaName).Tiles.Count);
    }

    private Task<Run> RunAsync(params string[] arguments) =>
        Imbrex.RunAsync(["run", "scripts/batch/export-takes.csx", "--trust", "--in", Input, "--out", Output, .. arguments]);

    private void Shoot(string name, int seed)
    {
        var plan = new PlanDocument
        {
            Schema = PlanDocument.SchemaName,
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 540, HeightPx = 360 },
            Format = new() { WidthMm = 58, HeightMm = 22 },
            Tiles = [new() { Id = "left", XMm = -12, YMm = 0 }, new() { Id = "right", XMm = 12, YMm = 0 }],
        };
        Directory.CreateDirectory(Path.Combine(Input, name));
        File.WriteAllBytes(Path.Combine(Input, name, "plan.json"), JsonDocuments.ToBytes(plan));
        Canvas canvas = Canvas.Of(plan);
        var scene = new QuarryScene(seed, canvas.Width, canvas.Height);
        new SimulatedCamera(scene, plan, new() { Seed = seed, PositionSdMm = 0.1, PositionMaxMm = 0.2 }).Shoot(Path.Combine(Input, name, "frames"));
    }
}
