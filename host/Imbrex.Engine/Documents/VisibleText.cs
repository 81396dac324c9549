using System.Globalization;
using System.Text;

namespace Imbrex.Engine.Documents;

/// <summary>Which characters of a stranger's text may be shown: none that a terminal or a page would obey, and none that shows as nothing.</summary>
public static class VisibleText
{
    /// <summary>Whether a character may be shown.</summary>
    public static bool IsVisible(Rune letter) => Rune.GetUnicodeCategory(letter) is not (UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator
        or UnicodeCategory.ParagraphSeparator or UnicodeCategory.PrivateUse or UnicodeCategory.Surrogate or UnicodeCategory.OtherNotAssigned);

    /// <summary>Whether every character of a text may be shown; half a surrogate pair is no character.</summary>
    public static bool IsVisible(ReadOnlySpan<char> text)
    {
        while (!text.IsEmpty)
        {
            if (Rune.DecodeFromUtf16(text, out Rune letter, out int length) != System.Buffers.OperationStatus.Done || !IsVisible(letter))
                return false;
            text = text[length..];
        }
        return true;
    }
}
