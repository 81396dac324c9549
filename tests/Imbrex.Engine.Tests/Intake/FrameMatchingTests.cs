using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Intake;

public sealed class FrameMatchingTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(36, 24, 600, 400);

    private static PlanDocument Plan(params IReadOnlyList<TilePart> tiles) => Plans.Of(Sensor, 60, 24, tiles);

    [Fact]
    public void Frames_without_names_are_taken_in_natural_order_and_other_files_ignored()
    {
        using var scratch = new Scratch();
        foreach (string name in new[] { "F10.TIF", "F9.jpeg", "notes.txt", ".F1.tif", "F11.png" })
            File.WriteAllText(scratch[name], "");
        Directory.CreateDirectory(scratch["F1.tif"]);
        IReadOnlyList<string> found = FrameMatching.Match(Plan(Plans.Tile("a", 12, 0), Plans.Tile("b", 0, 0), Plans.Tile("c", -12, 0)), scratch.Folder);
        Assert.Equal(["F9.jpeg", "F10.TIF", "F11.png"], found.Select(Path.GetFileName));
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
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(plan, scratch.Folder));
        Assert.Contains("tile b", e.Message);
        Assert.EndsWith("y.tif", e.Where);
        File.WriteAllText(scratch["y.tif"], "");
        Assert.Equal(["x.tif", "y.tif"], FrameMatching.Match(plan, scratch.Folder).Select(Path.GetFileName));
    }

    [Fact]
    public void A_missing_folder_is_named()
    {
        InputException e = Assert.Throws<InputException>(() => FrameMatching.Match(Plan(Plans.Tile("a", 0, 0)), "/nowhere/at-all"));
        Assert.Equal("/nowhere/at-all", e.Where);
    }
}
