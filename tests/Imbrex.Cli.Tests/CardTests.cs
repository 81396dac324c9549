using System.Text;
using Xunit;

namespace Imbrex.Cli.Tests;

/// <summary>Card, mask and scale on the command line.</summary>
public sealed class CardTests : IDisposable
{
    private static readonly string[] Grid = ["plan", "regular-grid", "--kit", "scripts/kits/rail-with-lens.json", "--format", "86x41", "--set", "columns=3", "--set", "rows=2", "--set", "step-x=27", "--set", "step-y=20"];
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Every_paper_is_written_listed_and_the_same_again()
    {
        string[] names = ["card.pdf", "card.html", "mask.pdf", "scale.pdf"];
        byte[][] first = await Print("first", names), second = await Print("second", names);
        Assert.Equal(first, second);
        Assert.All(first.Where((_, i) => i != 1), pdf => Assert.Equal("%PDF-", Encoding.ASCII.GetString(pdf, 0, 5)));
        Assert.StartsWith("<!DOCTYPE html>", Encoding.UTF8.GetString(first[1]), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--card", "card.txt", "neither in .pdf nor in .html")]
    [InlineData("--mask", "mask.svg", "does not end in .pdf")]
    [InlineData("--scale", "there.pdf", "exists already")]
    [InlineData("--paper", "a4", "a5 or half-letter")]
    public async Task What_cannot_be_printed_is_refused_before_the_plan_is_written(string option, string value, string words)
    {
        _folder.Write("there.pdf", "");
        string plan = Path.Combine(_folder.Path, "plan.json");
        Run run = await Imbrex.RunAsync([.. Grid, "--out", plan, option, option == "--paper" ? value : Path.Combine(_folder.Path, value)]);
        Assert.Equal(1, run.ExitCode);
        Assert.Contains(words, run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(plan));
    }

    [Fact]
    public async Task A_scale_for_a_sensor_alone_is_refused_and_nothing_is_left()
    {
        string plan = Path.Combine(_folder.Path, "plan.json");
        Run run = await Imbrex.RunAsync("plan", "regular-grid", "--sensor", "36x24/6000x4000", "--format", "60x30", "--out", plan, "--scale", Path.Combine(_folder.Path, "scale.pdf"));
        Assert.Equal(1, run.ExitCode);
        Assert.Contains("needs a kit", run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(plan));
    }

    private async Task<byte[][]> Print(string name, string[] names)
    {
        string folder = Path.Combine(_folder.Path, name);
        string[] files = [.. names.Select(file => Path.Combine(folder, file))];
        Run run = await Imbrex.RunAsync([.. Grid, "--out", Path.Combine(folder, "plan.json"), "--card", files[0], "--card", files[1], "--mask", files[2], "--scale", files[3], "--json"]);
        Assert.True(run.ExitCode == 0, run.Output + run.Error);
        string[] listed = [.. run.Json.GetProperty("files").EnumerateArray().Select(file => file.GetString()!)];
        Assert.All(files, file => Assert.Contains(file, listed));
        return [.. files.Select(File.ReadAllBytes)];
    }
}
