using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>The fewest frames, and the questions asked the other way round: the largest format in so many frames, the layout for a copy.</summary>
public sealed class FormatOptionTests : IDisposable
{
    private static readonly string[] Sensor = ["--sensor", "36x24/6000x4000", "--tolerance", "0,0"];
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // 4 x 3 level tiles sharing 4 mm are 4 x 32 + 4 = 132 mm by 3 x 20 + 4 = 64 mm; 3 x 4 are 100 x 84, which holds 5:4 up to 100 x 80; upright ones 2 x 6 hold 44.
    // Computed by hand: n (w - d) + d.
    [Fact]
    public async Task The_largest_format_of_a_shape_in_so_many_frames()
    {
        Run run = await Imbrex.RunAsync(["check", "regular-grid", .. Sensor, "--overlap", "4", "--ratio", "5:4", "--most-frames", "12", "--json"]);
        Assert.True(run.ExitCode == 0, run.Output + run.Error);
        JsonElement data = run.Json.GetProperty("data");
        Assert.InRange(data.GetProperty("format").GetProperty("widthMm").GetDouble(), 99.95, 100);
        Assert.InRange(data.GetProperty("format").GetProperty("heightMm").GetDouble(), 79.95, 80);
        Assert.Equal(12, data.GetProperty("frames").GetInt32());
    }

    // 400 / 25.4 = 15.748 px to the mm of the thing; the sensor has 6000 / 36 = 166.667: magnification 0.094488, format 56.693 x 42.520 mm; the
    // lens of 150 mm stands 150 (1 + 1/m) = 1737.5 mm away. Computed by hand from the definition and the thin-lens equation.
    [Fact]
    public async Task Copy_work_tells_magnification_format_layout_and_distance()
    {
        string plan = Path.Combine(_folder.Path, "plan.json");
        Run run = await Imbrex.RunAsync("plan", "fewest-frames", "--kit", "scripts/kits/rail-with-lens.json", "--object", "600x420", "--ppi", "400", "--aperture", "16", "--out", plan, "--json");
        Assert.True(run.ExitCode == 0, run.Output + run.Error);
        JsonElement data = run.Json.GetProperty("data"), optics = data.GetProperty("optics");
        Assert.Equal((56.7, 39.69), (data.GetProperty("format").GetProperty("widthMm").GetDouble(), data.GetProperty("format").GetProperty("heightMm").GetDouble()));
        Assert.Equal(0.094488, optics.GetProperty("magnification").GetDouble(), 1e-6);
        Assert.Contains("1738 mm from it", run.Output, StringComparison.Ordinal);
        Assert.Equal(4, data.GetProperty("frames").GetInt32());
    }

    // The mount's throat of this kit cuts the outer tiles, so that the 11 frames that would cover the format do not; the regular grid is refused.
    [Fact]
    public async Task Fewest_frames_keep_to_the_light()
    {
        string kit = _folder.Write("kit.json", File.ReadAllText(Path.Combine(Imbrex.Repository, "scripts/kits/rail-with-lens.json"))
            .Replace("\"rail\"", "\"cross-slide\"", StringComparison.Ordinal)
            .Replace("\"parameters\": { \"row-offset\": 10 },", "", StringComparison.Ordinal)
            .Replace("{ \"minMm\": -40, \"maxMm\": 40, \"toleranceMm\": 0.2 }", "{ \"minMm\": -50, \"maxMm\": 50, \"toleranceMm\": 0.2 }, { \"minMm\": -30, \"maxMm\": 30, \"toleranceMm\": 0.2 }", StringComparison.Ordinal)
            .Replace("[ { \"deg\": 0 } ]", "[ { \"deg\": 0 }, { \"deg\": 90 } ]", StringComparison.Ordinal)
            .Replace(", { \"state\": \"turned\" }", "", StringComparison.Ordinal)
            .Replace("[46]", "[42]", StringComparison.Ordinal));
        string[] rest = ["--kit", kit, "--format", "100x70", "--aperture", "11", "--json"];
        Assert.Equal(2, (await Imbrex.RunAsync(["check", "regular-grid", .. rest])).ExitCode);
        Run designed = await Imbrex.RunAsync(["check", "fewest-frames", .. rest]);
        Assert.True(designed.ExitCode == 0, designed.Output + designed.Error);
        Assert.Equal(12, designed.Json.GetProperty("data").GetProperty("frames").GetInt32());
        Assert.Contains("fewer than 11 cannot", designed.Output, StringComparison.Ordinal);
    }

    // A body that stands askew shows more than the upright rectangle the search counts on: fewer are not disproven.
    [Fact]
    public async Task Nothing_is_called_proven_of_tiles_that_stand_askew()
    {
        string kit = _folder.Write("kit.json", File.ReadAllText(Path.Combine(Imbrex.Repository, "scripts/kits/rail-with-lens.json"))
            .Replace("[ { \"deg\": 0 } ]", "[ { \"deg\": 0, \"errorDeg\": 0.3 } ]", StringComparison.Ordinal));
        Run askew = await Imbrex.RunAsync("check", "fewest-frames", "--kit", kit, "--format", "80x40", "--aperture", "16");
        Assert.True(askew.ExitCode == 0, askew.Output + askew.Error);
        Assert.Contains("it is not proven that fewer cannot do.", askew.Output + askew.Error, StringComparison.Ordinal);
        Run straight = await Imbrex.RunAsync("check", "fewest-frames", "--kit", "scripts/kits/rail-with-lens.json", "--format", "80x40", "--aperture", "16");
        Assert.Contains("proven the fewest", straight.Output + straight.Error, StringComparison.Ordinal);
    }

    // A turret turns the sensor as it swings it: six of its fourteen stops do where the script that comes with it takes eight.
    [Fact]
    public async Task Fewest_frames_choose_among_a_turrets_stops()
    {
        Run designed = await Imbrex.RunAsync("check", "fewest-frames", "--kit", "scripts/kits/turret.json", "--format", "56x33", "--json");
        Assert.True(designed.ExitCode == 0, designed.Output + designed.Error);
        Assert.Equal(6, designed.Json.GetProperty("data").GetProperty("frames").GetInt32());
        Assert.Contains("cannot do with 5", designed.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Give one of", "--format", "90x44", "--ratio", "5:4", "--most-frames", "3")]
    [InlineData("Give one of")]
    [InlineData("--ratio is given without --most-frames", "--ratio", "5:4")]
    [InlineData("--most-frames is given without --ratio", "--format", "90x44", "--most-frames", "3")]
    [InlineData("--object is given without --ppi", "--object", "600x450")]
    [InlineData("not a shape", "--ratio", "5x4", "--most-frames", "3")]
    [InlineData("--most-frames is 0", "--ratio", "5:4", "--most-frames", "0")]
    [InlineData("tell the magnification", "--object", "600x450", "--ppi", "400", "--focus-distance", "2m")]
    public async Task Questions_that_contradict_themselves_are_refused(string says, params string[] options)
    {
        Run run = await Imbrex.RunAsync(["check", "regular-grid", .. Sensor, .. options]);
        Assert.Equal(1, run.ExitCode);
        Assert.Contains(says, run.Error, StringComparison.Ordinal);
    }
}
