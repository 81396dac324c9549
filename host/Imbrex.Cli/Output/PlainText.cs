using System.Buffers;

namespace Imbrex.Cli.Output;

/// <summary>Text that may hold a stranger's words, such as the name of a file from an archive, as a terminal may get it.</summary>
internal static class PlainText
{
    // What a terminal obeys, but for the ends of lines and tabs; and the marks that turn the direction of writing (Unicode Standard Annex 9, 2).
    private static readonly SearchValues<char> Obeyed = SearchValues.Create(
    [
        .. Enumerable.Range(0, 0xA0).Select(code => (char)code).Where(letter => char.IsControl(letter) && letter is not ('\n' or '\r' or '\t')),
        '\u061C', '\u200E', '\u200F', '\u202A', '\u202B', '\u202C', '\u202D', '\u202E', '\u2066', '\u2067', '\u2068', '\u2069',
    ]);

    /// <summary>The text with a question mark for each letter that would be obeyed instead of shown.</summary>
    public static string Of(string text) => text.AsSpan().ContainsAny(Obeyed) ? string.Concat(text.Select(letter => Obeyed.Contains(letter) ? '?' : letter)) : text;
}
