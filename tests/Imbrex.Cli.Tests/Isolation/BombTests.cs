using System.Globalization;
using Imbrex.Hosting.Tests.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;
using Xunit;

namespace Imbrex.Cli.Tests.Isolation;

/// <summary>Scripts that every gate lets through, and that must end in plain words all the same.</summary>
public class BombTests(BehindWalls walls, ITestOutputHelper output) : IClassFixture<BehindWalls>
{
    private static readonly IReadOnlyList<ScriptCorpus> Bombs = ScriptCorpus.Read("bombs.txt");

    public static TheoryData<string> Names => [.. Bombs.Select(bomb => bomb.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void It_ends_in_plain_words(string name)
    {
        ScriptCorpus bomb = Bombs.Single(one => one.Name == name);
        (LayoutScriptResult? result, ImbrexException? error) = Outcome(bomb);
        output.WriteLine($"{name}: {error?.Message ?? "passed"} | {error?.Where} | {error?.Remedy}");

        if (bomb.Expectation is not ("any" or "text"))
            Assert.Null(result);
        string all = error is null ? result!.Description.Summary + string.Concat(result.Tiles.Select(tile => tile.Id)) : error.Message + error.Where + error.Remedy;
        Assert.InRange(all.Length, 0, 3000);
        Assert.DoesNotContain(all, letter => letter != '\n' && char.GetUnicodeCategory(letter) is UnicodeCategory.Control or UnicodeCategory.Format);
        Assert.DoesNotContain("\n", error?.Message ?? "", StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", all, StringComparison.Ordinal);
        string? words = bomb.Expectation switch
        {
            "time" => "did not finish within",
            "stack" => "without end",
            "memory" => "MB that a script may have",
            _ => null,
        };
        if (words is not null)
            Assert.Contains(words, error!.Message, StringComparison.Ordinal);

        // The next script is served as if nothing had been.
        Assert.Equal(3, walls.Run("Name(\"mine\"); Tile(3, 0);").Tiles.Single().Pose.Centre.X);
    }

    private (LayoutScriptResult? Result, ImbrexException? Error) Outcome(ScriptCorpus bomb)
    {
        try
        {
            return (walls.Run(bomb.Text), null);
        }
        catch (ImbrexException e)
        {
            return (null, e);
        }
    }
}
