using System.Text.RegularExpressions;

namespace Imbrex.Cli.Tests.Kit;

/// <summary>A fenced block of an article, with what stands before it.</summary>
/// <param name="Heading">The heading that it stands under.</param>
/// <param name="Before">The paragraph before it.</param>
/// <param name="Language">The word behind the fence.</param>
/// <param name="Text">Its lines, each ended.</param>
/// <param name="Line">Where it begins, for messages.</param>
internal sealed record Block(string Heading, string Before, string Language, string Text, int Line)
{
    /// <summary>The files that the paragraph before it names, in backticks.</summary>
    public string[] Named => [.. Regex.Matches(Before, "`([^` ]+\\.[a-z]+)`").Select(match => match.Groups[1].Value)];
}

/// <summary>Articles as a reader follows them: what to type, what to write into which file, and what the program then says.</summary>
internal static class Markdown
{
    public static string Folder { get; } = Path.Combine(Imbrex.Repository, "sdk", "docs", "articles");

    public static IReadOnlyList<Block> Blocks(string article)
    {
        var blocks = new List<Block>();
        string heading = "", before = "";
        string[] lines = File.ReadAllLines(Path.Combine(Folder, article));
        for (int i = 0; i < lines.Length; i++)
        {
            if (lines[i].StartsWith("```", StringComparison.Ordinal))
            {
                int end = Array.IndexOf(lines, "```", i + 1);
                blocks.Add(new(heading, before, lines[i][3..].Trim(), string.Concat(lines[(i + 1)..end].Select(line => line + "\n")), i + 1));
                (i, before) = (end, "");
            }
            else if (lines[i].StartsWith('#'))
            {
                (heading, before) = (lines[i].TrimStart('#', ' '), "");
            }
            else if (lines[i].Length > 0)
            {
                before = (i > 0 && lines[i - 1].Length > 0 && before.Length > 0 ? before + " " : "") + lines[i];
            }
        }
        return blocks;
    }
}
