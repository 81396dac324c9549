using Imbrex.Engine.Documents;

namespace Imbrex.Hosting.Packages;

/// <summary>A stranger's words in a message: of bearable length, with a question mark for what must not be shown.</summary>
internal static class Visible
{
    private const int Longest = 120;

    public static string Text(string text) => string.Concat(text.EnumerateRunes().Take(Longest).Select(letter => VisibleText.IsVisible(letter) ? letter.ToString() : "?"));
}
