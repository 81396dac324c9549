using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Imbrex.Hosting.Tests.Scripts;

/// <summary>The scripts of a file in Corpus: each begins with a line <c>=== name</c>, or <c>=== name: expectation</c>.</summary>
public sealed partial record ScriptCorpus(string Name, string Expectation, string Text)
{
    public static IReadOnlyList<ScriptCorpus> Read(string file)
    {
        string all = File.ReadAllText(Path.Combine(Repository.Root, "tests", "Imbrex.Hosting.Tests", "Scripts", "Corpus", file)).Replace("\r\n", "\n");
        return [.. all.Split("\n=== ").Skip(1).Select(One)];
    }

    public byte[] Bytes => Encoding.UTF8.GetBytes(Text);

    public override string ToString() => Name;

    private static ScriptCorpus One(string part)
    {
        int end = part.IndexOf('\n', StringComparison.Ordinal);
        string[] head = part[..end].Split(": ");
        return new(head[0], head.Length > 1 ? head[1] : "", Expand(part[(end + 1)..].TrimEnd('\n')));
    }

    private static string Expand(string text)
    {
        text = Letter().Replace(text, match => ((char)int.Parse(match.Groups[1].ValueSpan, NumberStyles.HexNumber, CultureInfo.InvariantCulture)).ToString());
        return Repeated().Replace(text, match => string.Concat(Enumerable.Repeat(match.Groups[1].Value, int.Parse(match.Groups[2].ValueSpan, CultureInfo.InvariantCulture))));
    }

    [GeneratedRegex(@"<<U\+([0-9A-F]{4})>>")]
    private static partial Regex Letter();

    [GeneratedRegex(@"<<(.+?)\*(\d+)>>", RegexOptions.Singleline)]
    private static partial Regex Repeated();
}
