using System.Text.Json;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Every kit that comes with the program carries a layout, from the plan to the card.</summary>
public sealed class ShippedKitTests : IDisposable
{
    private static readonly Dictionary<string, string[]> Uses = new()
    {
        ["filed-stops.json"] = ["scripts/layouts/uneven-detents.csx", "--format", "114x41"],
        ["quarry-rail.json"] = ["regular-grid", "--format", "88x42", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=27", "--set", "step-y=20"],
        ["rail-with-lens.json"] = ["regular-grid", "--format", "86x41", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=27", "--set", "step-y=20"],
        ["turret.json"] = ["scripts/layouts/two-arcs.csx", "--format", "56x33"],
        ["disc-on-rail.json"] = ["fewest-frames", "--format", "80x36"],
        ["offset-tube.json"] = ["scripts/layouts/lantern.csx", "--format", "90x34"],
    };

    private readonly TemporaryFolder _folder = new();

    public static TheoryData<string> Names =>
        [.. Directory.GetFiles(Path.Combine(Imbrex.Repository, "scripts", "kits"), "*.json").Select(path => Path.GetFileName(path))];

    public void Dispose() => _folder.Dispose();

    [Theory]
    [MemberData(nameof(Names))]
    public async Task It_carries_a_layout_and_its_plan_is_accepted_again(string name)
    {
        Assert.True(Uses.ContainsKey(name), $"Say with which layout {name} is used.");
        string plan = Path.Combine(_folder.Path, "plan.json"), card = Path.Combine(_folder.Path, "card.html");
        Run made = await Imbrex.RunAsync(["plan", .. Uses[name], "--kit", $"scripts/kits/{name}", "--out", plan, "--card", card]);
        Assert.True(made.ExitCode == 0, made.Output + made.Error);
        Run again = await Imbrex.RunAsync("check", plan);
        Assert.True(again.ExitCode == 0, again.Output + again.Error);
    }

    [Fact]
    public async Task A_turrets_card_gives_the_arms_angle_on_its_own_scale()
    {
        string card = Path.Combine(_folder.Path, "card.html");
        Run run = await Imbrex.RunAsync(["plan", .. Uses["turret.json"], "--kit", "scripts/kits/turret.json", "--out", Path.Combine(_folder.Path, "plan.json"), "--card", card]);
        Assert.True(run.ExitCode == 0, run.Output + run.Error);
        string text = System.Net.WebUtility.HtmlDecode(await File.ReadAllTextAsync(card, TestContext.Current.CancellationToken));
        Assert.Contains("72°", text, StringComparison.Ordinal);
        Assert.Contains("108° upside down", text, StringComparison.Ordinal);
        Assert.Contains("up, 18° anticlockwise", text, StringComparison.Ordinal);
        Run scale = await Imbrex.RunAsync(["plan", .. Uses["turret.json"], "--kit", "scripts/kits/turret.json", "--out", Path.Combine(_folder.Path, "other.json"), "--scale", Path.Combine(_folder.Path, "scale.pdf")]);
        Assert.Equal(1, scale.ExitCode);
        Assert.Contains("does not serve an axis that turns", scale.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_sliding_mount_is_clamped_where_body_and_back_clear()
    {
        string card = Path.Combine(_folder.Path, "card.html"), plan = Path.Combine(_folder.Path, "plan.json");
        Run run = await Imbrex.RunAsync(["plan", .. Uses["offset-tube.json"], "--kit", "scripts/kits/offset-tube.json", "--out", plan, "--card", card]);
        Assert.Contains("Clamp the mount 17 mm behind the film datum", run.Output, StringComparison.Ordinal);
        Assert.Contains("Clamp the mount 17 mm behind the film datum", await File.ReadAllTextAsync(card, TestContext.Current.CancellationToken), StringComparison.Ordinal);
        using JsonDocument json = JsonDocument.Parse(await File.ReadAllTextAsync(plan, TestContext.Current.CancellationToken));
        Assert.Equal(17, json.RootElement.GetProperty("picture").GetProperty("mountDepthMm").GetDouble());
    }

    [Fact]
    public async Task A_body_that_runs_into_the_back_is_refused_with_setting_amount_and_depth()
    {
        string text = await File.ReadAllTextAsync(Path.Combine(Imbrex.Repository, "scripts", "kits", "offset-tube.json"), TestContext.Current.CancellationToken);
        string kit = _folder.Write("kit.json", text.Replace("[9, 32]", "10", StringComparison.Ordinal)), drawing = Path.Combine(_folder.Path, "why.svg");
        Run run = await Imbrex.RunAsync(["check", .. Uses["offset-tube.json"], "--kit", kit, "--svg", drawing]);
        Assert.Equal(2, run.ExitCode);
        Assert.Contains("Refused (clearance)", run.Output, StringComparison.Ordinal);
        Assert.Contains("With the mount 17 mm behind the film datum, 7 mm deeper than now, everything clears", run.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("A regular grid", run.Output, StringComparison.Ordinal);
        Assert.Contains("class=\"clearance\"", await File.ReadAllTextAsync(drawing, TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }
}
