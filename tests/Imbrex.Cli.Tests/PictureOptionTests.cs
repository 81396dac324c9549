using System.Text.Json;
using Imbrex.Cli.Arguments;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Focus, movements and exposure on the command line: into the verdict, into the plan, and over what a plan says.</summary>
public sealed class PictureOptionTests : IDisposable
{
    private static readonly string[] Grid = ["regular-grid", "--kit", "scripts/kits/rail-with-lens.json", "--format", "86x41", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=27", "--set", "step-y=20"];
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task The_picture_goes_into_the_plan_and_check_may_overrule_it()
    {
        string plan = Path.Combine(_folder.Path, "plan.json");
        Run made = await Imbrex.RunAsync(["plan", .. Grid, "--aperture", "16", "--focus-distance", "8m", "--rise", "10", "--seconds", "1/8", "--mover", "walkers", "--out", plan]);
        Assert.True(made.ExitCode == 0, made.Output + made.Error);
        PicturePart picture = JsonDocuments.Read<PlanDocument>(plan, PlanDocument.SchemaName).Picture!;
        Assert.Equal((16.0, 8000.0, 10.0, 0.125), (picture.Aperture, picture.FocusDistanceMm, picture.Movements!.RiseMm, picture.Seconds));

        Run far = await Imbrex.RunAsync("check", plan, "--focus-distance", "infinity", "--rise", "-5", "--json");
        Assert.True(far.ExitCode == 0, far.Output + far.Error);
        JsonElement optics = far.Json.GetProperty("data").GetProperty("optics");
        Assert.Equal(150, optics.GetProperty("imageDistanceMm").GetDouble());
        Assert.Equal(5, optics.GetProperty("axisMm")[1].GetDouble());
        Assert.Equal(16, optics.GetProperty("aperture").GetDouble());
        Assert.Contains(far.Json.GetProperty("findings").EnumerateArray(), finding => finding.GetProperty("severity").GetString() == "warning");
    }

    [Fact]
    public async Task The_depth_of_a_sliding_mount_and_the_settling_time_go_into_the_plan()
    {
        string plan = Path.Combine(_folder.Path, "plan.json");
        string[] line = ["plan", "single-strip", "--kit", "scripts/kits/offset-tube.json", "--format", "40x18", "--force", "--out", plan];
        Run set = await Imbrex.RunAsync([.. line, "--mount-depth", "27.5", "--settle", "8"]);
        Assert.True(set.ExitCode == 0, set.Output + set.Error);
        PicturePart picture = JsonDocuments.Read<PlanDocument>(plan, PlanDocument.SchemaName).Picture!;
        Assert.Equal((27.5, 8.0), (picture.MountDepthMm, picture.SettleSeconds));
        Assert.Contains("Clamp the mount 27.5 mm behind the film datum", set.Output, StringComparison.Ordinal);

        Run outside = await Imbrex.RunAsync([.. line, "--mount-depth", "500"]);
        Assert.Equal(1, outside.ExitCode);
        Assert.Contains("is to be clamped at 500 mm; it goes from", outside.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_rise_that_leaves_the_circle_of_light_is_refused_unless_dark_corners_are_allowed()
    {
        string kit = _folder.Write("kit.json", File.ReadAllText(Path.Combine(Imbrex.Repository, Grid[2])).Replace("210", "112", StringComparison.Ordinal));
        string[] line = ["check", .. Grid[..2], kit, .. Grid[3..], "--aperture", "22", "--rise", "20"];
        Run refused = await Imbrex.RunAsync(line);
        Assert.True(refused.ExitCode == 2, refused.Output + refused.Error);
        Assert.Contains("outside the circle of light of 112 mm", refused.Output, StringComparison.Ordinal);
        Assert.Contains("would do: The movements that the circle allows are rise ", refused.Output, StringComparison.Ordinal);
        Run allowed = await Imbrex.RunAsync([.. line, "--allow-dark-corners", "20"]);
        Assert.True(allowed.ExitCode == 0, allowed.Output + allowed.Error);
    }

    [Theory]
    [InlineData("5m", 5000)]
    [InlineData("45cm", 450)]
    [InlineData("900.5mm", 900.5)]
    [InlineData("infinity", double.PositiveInfinity)]
    public void Distances_carry_their_unit(string text, double mm) => Assert.Equal(mm, DistanceText.Parse(text, "--near"), 1e-9);

    [Theory]
    [InlineData("5")]
    [InlineData("m")]
    [InlineData("-5m")]
    [InlineData("5,5m")]
    public void Other_distances_are_refused(string text) => Assert.Throws<InputException>(() => DistanceText.Parse(text, "--near"));

    [Fact]
    public void Movers_are_known_words_or_width_and_speed()
    {
        MoverPart walkers = MoverText.Parse("walkers,at=20m,per-minute=6", "--mover");
        Assert.Equal((500.0, 1400.0, 20_000.0, 6.0), (walkers.WidthMm, walkers.SpeedMmPerS, walkers.DistanceMm, walkers.PerMinute));
        MoverPart own = MoverText.Parse("0.25@2", "--mover");
        Assert.Equal((250.0, 2000.0), (own.WidthMm, own.SpeedMmPerS));
        Assert.Contains("walkers", Assert.Throws<InputException>(() => MoverText.Parse("walker", "--mover")).Remedy, StringComparison.Ordinal);
        Assert.Throws<InputException>(() => MoverText.Parse("walkers,att=20m", "--mover"));
    }
}
