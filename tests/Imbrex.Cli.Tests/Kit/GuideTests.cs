using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>The guide, followed to the letter by a new user, and by a friend at another machine.</summary>
public sealed class GuideTests
{
    [Fact]
    public async Task Every_command_of_the_guide_does_what_the_guide_says()
    {
        using var maker = new Person();
        using var friend = new Person();
        var follower = new Follower("guide.md");
        Person who = maker;
        IReadOnlyList<Block> blocks = Markdown.Blocks("guide.md");
        foreach ((int i, Block block) in blocks.Index())
        {
            if (who == maker && block.Heading.StartsWith("Your friend", StringComparison.Ordinal))
            {
                Send(block, maker, friend);
                who = friend;
            }
            await follower.DoAsync(who, block, i + 1 < blocks.Count ? blocks[i + 1] : null);
        }

        Assert.True(follower is { Typed: >= 9, Quoted: >= 15 } && who == friend, "The guide has lost its commands, or what they say.");
        Assert.All(["check.svg", "field/card.pdf", "field/scale.pdf", "field/plan.json"], file => Assert.True(new FileInfo(Path.Combine(maker.Desk, file)).Length > 500, file));
    }

    [Fact]
    public void The_README_leads_to_the_guide() =>
        Assert.Contains("(sdk/docs/articles/guide.md)", File.ReadAllText(Path.Combine(Imbrex.Repository, "README.md")), StringComparison.Ordinal);

    // What the maker sends is named in the paragraph above the friend's first command.
    private static void Send(Block block, Person from, Person to)
    {
        Assert.NotEmpty(block.Named);
        foreach (string name in block.Named)
            File.Copy(Path.Combine(from.Desk, name), Path.Combine(to.Desk, name));
    }
}
