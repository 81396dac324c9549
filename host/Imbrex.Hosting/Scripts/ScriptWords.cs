using System.Text.RegularExpressions;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Tells what a script is by the words that it calls: one that declares axes or says where a carriage stands is an adapter, any other a layout. Whoever asks knows which it wants, and a
/// script of the other kind is refused before it is compiled.
/// </summary>
internal static partial class ScriptWords
{
    /// <summary>The kind of a script that is not a batch.</summary>
    public static ScriptKind KindOf(ScriptSource source) => Calls(source).FirstOrDefault().Word is "Axis" or "Pivot" or "Carriage" or "Inverse" ? ScriptKind.Adapter : ScriptKind.Layout;

    /// <exception cref="InputException">The script is of the other kind.</exception>
    public static void Demand(ScriptSource source, ScriptKind kind)
    {
        (string word, int line) = Calls(source).FirstOrDefault();
        if (word is null || KindOf(source) == kind)
            return;
        throw kind == ScriptKind.Adapter
            ? new InputException("This is a layout script: it places tiles. Here an adapter script is asked for, which says where the back's carriage stands.", source.Place(line), "Name it where a layout is asked for; scripts/adapters has examples of adapters.")
            : new InputException("This is an adapter script: it says where the carriage of a back stands. Here a layout script is asked for, which places tiles.", source.Place(line), "Name it in the kit as back.adapter; scripts/layouts has examples of layouts.");
    }

    /// <summary>The line of the first call of a word, or 0.</summary>
    public static int LineOf(ScriptSource source, string word) => Calls(source).FirstOrDefault(call => call.Word == word).Line;

    private static IEnumerable<(string Word, int Line)> Calls(ScriptSource source)
    {
        string code = CommentOrText().Replace(source.Text, match => string.Concat(match.Value.Where(letter => letter == '\n')));
        return Word().Matches(code).Select(match => (match.Groups[1].Value, 1 + code.AsSpan(0, match.Index).Count('\n')));
    }

    // Comments, raw, verbatim and plain strings, characters: what stands in them is not called.
    [GeneratedRegex("""//[^\n]*|/\*.*?\*/|(?<raw>"{3,}).*?\k<raw>|\$?@\$?"(?:[^"]|"")*"|"(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])+'""", RegexOptions.Singleline)]
    private static partial Regex CommentOrText();

    [GeneratedRegex(@"(?<![\w.@])(Tile|Axis|Pivot|Carriage|Inverse)\s*\(")]
    private static partial Regex Word();
}
