namespace Imbrex.Sdk.Parameters;

/// <summary>The one spelling of names: lower-case ASCII letters, digits and single hyphens, a letter first.</summary>
public static class KebabCase
{
    /// <summary>Whether the text is a legal name of at most 40 characters.</summary>
    public static bool IsValid(string? text)
    {
        if (text is null or { Length: 0 or > 40 } || !char.IsAsciiLetterLower(text[0]) || text[^1] == '-')
            return false;
        for (int i = 1; i < text.Length; i++)
        {
            bool hyphen = text[i] == '-' && text[i - 1] != '-';
            if (!hyphen && !char.IsAsciiLetterLower(text[i]) && !char.IsAsciiDigit(text[i]))
                return false;
        }
        return true;
    }
}
