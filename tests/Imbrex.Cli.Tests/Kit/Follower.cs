using Xunit;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>Follows an article to the letter: types its commands, writes its files, and looks for what it says the program says.</summary>
internal sealed class Follower(string article)
{
    private string _said = "";

    /// <summary>Commands typed so far.</summary>
    public int Typed { get; private set; }

    /// <summary>Lines of the program's that were found as quoted.</summary>
    public int Quoted { get; private set; }

    /// <summary>Does what a block says.</summary>
    /// <param name="who">Who does it.</param>
    /// <param name="block">The block.</param>
    /// <param name="next">The block after it, which tells how the command ends.</param>
    public async Task DoAsync(Person who, Block block, Block? next)
    {
        string[] lines = block.Text.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        if (block.Language == "sh")
            await TypeAsync(who, block, lines, next);
        else if (block.Language == "text")
            Array.ForEach(lines, line => Find(block, line));
        else if (block.Named is [.., string file])
            await File.WriteAllTextAsync(Path.Combine(who.Here, file), block.Text, TestContext.Current.CancellationToken);
        else
            Assert.Fail($"{article}, line {block.Line}: nobody knows into which file this goes.");
    }

    // What is refused is shown as refused; everything else is done.
    private async Task TypeAsync(Person who, Block block, string[] lines, Block? next)
    {
        int expected = next is { Language: "text" } && next.Text.StartsWith("Refused", StringComparison.Ordinal) ? 2 : 0;
        _said = "";
        foreach (string line in lines)
        {
            Run run = await who.TypeAsync(line);
            Assert.True(run.ExitCode == expected, $"{article}, line {block.Line}: {line}\nexit code {run.ExitCode}\n{run.Output}\n{run.Error}");
            _said += run.Output + run.Error;
            Typed++;
        }
    }

    private void Find(Block block, string line)
    {
        Assert.True(_said.Contains(line.TrimEnd(), StringComparison.Ordinal), $"{article}, line {block.Line}: the program does not say '{line}', but\n{_said}");
        Quoted++;
    }
}
