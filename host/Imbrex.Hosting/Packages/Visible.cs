using System.Globalization;

namespace Imbrex.Hosting.Packages;

/// <summary>A stranger's words as they may be shown: no controls, no direction marks, of bearable length.</summary>
internal static class Visible
{
    private const int Longest = 120;

    public static string Text(string text) => string.Concat(text.Take(Longest).Select(c => IsShown(c) ? c : '?'));

    private static bool IsShown(char c) => char.GetUnicodeCategory(c) is not (UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator
        or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse or UnicodeCategory.Surrogate or UnicodeCategory.OtherNotAssigned);
}
