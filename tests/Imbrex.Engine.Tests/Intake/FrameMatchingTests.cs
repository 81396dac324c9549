using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Intake;

public sealed class FrameMatchingTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(36, 24, 600, 400);

    private static IEnumerable<string?> Names(IReadOnlyList<TileFiles> tiles) => tiles.SelectMany(tile => tile.Paths).Select(Path.GetFileName);

    private static PlanDocument Plan(params IReadOnlyList<TilePart> tiles) => Plans.Of(Sensor, 60, 24, tiles);

    [Fact]
    public void Frames_without_names_are_taken_in_natural_order_and_other_files_ignored()
    {
        using var scratch = new Scratch();
        foreach (string name in new[] { "F10.TIF", "F9.jpeg", "notes.txt", ".F1.tif", "F11.png" })
            File.WriteAllText(scratch[name], "");
        Directory.CreateDirectory(scratch["F1.tif"]);
        IReadOnlyList<TileFiles> found = FrameMatching.Match(Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", 0, 0), Plans.Tile("c", -12, 0)), scratch.Folder);
        Assert.Equal(["F9.jpeg", "F10.TIF", "F11.png"], Names(found));
    }

    [Fact]
    public void Frames_taken_in_a_row_belong_to_one_tile()
    {
        using var scratch = new Scratch();
        for (int i = 1; i <= 6; i++)
            File.WriteAllText(scratch[$"F{i}.tif"], "");
        PlanDocument plan = Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", -12, 0));
        IReadOnlyList<TileFiles> found = FrameMatching.Match(plan, scratch.Folder, new() { PerTile = 3 });
        Assert.Equal(["F4.tif", "F5.tif", "F6.tif"], found[1].Paths.Select(Path.GetFileName));
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(plan, scratch.Folder));
        Assert.Contains("--per-tile 3", e.Remedy);
    }

    [Fact]
    public void Tiles_that_were_not_shot_are_passed_over()
    {
        using var scratch = new Scratch();
        File.WriteAllText(scratch["F1.tif"], "");
        PlanDocument plan = Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", -12, 0));
        TileFiles found = Assert.Single(FrameMatching.Match(plan, scratch.Folder, new() { Without = ["a"] }));
        Assert.Equal("b", found.Tile.Id);
        Assert.Contains("--without", Assert.Throws<InputException>(() => FrameMatching.Match(plan, scratch.Folder, new() { Without = ["a", "b"] })).Where);
    }

    [Fact]
    public void A_view_taken_twice_is_named_where_there_is_a_picture_too_many()
    {
        using var scratch = new Scratch();
        using Image photograph = Image.NewFromFile(TestData.Mountain);
        for (int i = 0; i < 3; i++)
        {
            // The second and the third show the same, but for noise.
            using Image view = photograph.Crop(100 + 300 * Math.Min(i, 1), 100, 600, 400);
            using Image noise = Image.Gaussnoise(600, 400, sigma: 2, mean: 0, seed: i);
            using Image noisy = view + noise;
            using Image frame = noisy.Cast(Enums.BandFormat.Uchar);
            frame.WriteToFile(scratch[$"F{i}.tif"]);
        }
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", -12, 0)), scratch.Folder));
        Assert.Contains("F1.tif and F2.tif show the same view", e.Remedy);
        Assert.DoesNotContain("F0.tif", e.Remedy);
    }

    [Theory]
    [InlineData(1, "1 missing")]
    [InlineData(3, "do not belong")]
    public void A_count_that_differs_is_bad_input_with_both_counts(int files, string remedy)
    {
        using var scratch = new Scratch();
        for (int i = 0; i < files; i++)
            File.WriteAllText(scratch[$"F{i}.tif"], "");
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", -12, 0)), scratch.Folder));
        Assert.Contains("2 tiles", e.Message);
        Assert.Contains($"{files} picture", e.Message);
        Assert.Contains(remedy, e.Remedy);
        Assert.Equal(scratch.Folder, e.Where);
    }

    [Fact]
    public void A_named_frame_is_found_in_a_subfolder_and_missed_by_name()
    {
        using var scratch = new Scratch();
        Directory.CreateDirectory(scratch["card"]);
        File.WriteAllText(Path.Combine(scratch.Folder, "card", "x.tif"), "");
        PlanDocument plan = Plan(Plans.Tile("a", 12, 0) with { File = "card/x.tif" }, Plans.Tile("b", -12, 0) with { File = "y.tif" });
        IReadOnlyList<TileFiles> found = FrameMatching.Match(plan, scratch.Folder);
        Assert.Equal(["x.tif"], Names(found));
        Assert.Equal(["y.tif"], found[1].Missing);
        File.WriteAllText(scratch["y.tif"], "");
        Assert.Equal(["x.tif", "y.tif"], Names(FrameMatching.Match(plan, scratch.Folder)));
    }

    [Fact]
    public void Where_no_named_frame_is_there_the_folder_is_wrong()
    {
        using var scratch = new Scratch();
        PlanDocument plan = Plan(Plans.Tile("a", 12, 0) with { Files = ["x1.tif", "x2.tif"] }, Plans.Tile("b", -12, 0) with { File = "y.tif" });
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(plan, scratch.Folder));
        Assert.EndsWith("x1.tif", e.Where);
        File.WriteAllText(scratch["x2.tif"], "");
        TileFiles found = FrameMatching.Match(plan, scratch.Folder)[0];
        Assert.Equal(["x1.tif"], found.Missing);
        Assert.Equal(["x2.tif"], found.Paths.Select(Path.GetFileName));
    }

    [Fact]
    public void A_missing_folder_is_named()
    {
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(Plan(Plans.Tile("a", 0, 0)), "/nowhere/at-all"));
        Assert.Equal("/nowhere/at-all", e.Where);
    }
}
