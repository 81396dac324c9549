namespace Imbrex.Cli.Output;

/// <summary>Text that may hold a stranger's words, such as the name of a file from an archive, as a terminal may get it.</summary>
internal static class PlainText
{
    /// <summary>The text with a question mark for each letter that would be obeyed instead of shown.</summary>
    public static string Of(string text) => text.Any(IsObeyed) ? string.Concat(text.Select(letter => IsObeyed(letter) ? '?' : letter)) : text;

    // What a terminal obeys, but for the ends of lines and tabs; and the marks that turn the direction of writing (Unicode Standard Annex 9, 2).
    private static bool IsObeyed(char letter) => letter is not ('\n' or '\r' or '\t')
        && (char.IsControl(letter) || letter is '\u061C' or '\u200E' or '\u200F' or (>= '\u202A' and <= '\u202E') or (>= '\u2066' and <= '\u2069'));
}
