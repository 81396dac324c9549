namespace Imbrex.Cli.Arguments;

/// <summary>An exposure as typed: <c>0.5</c> or, as on a dial, <c>1/15</c>. Seconds.</summary>
internal static class SecondsText
{
    public static double Parse(string text, string option)
    {
        string[] parts = text.Split('/');
        return parts.Length == 2 ? NumberText.Positive(parts[0], option) / NumberText.Positive(parts[1], option) : NumberText.Positive(text, option);
    }
}
