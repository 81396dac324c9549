using Imbrex.Sdk;

namespace Imbrex.Cli.Arguments;

/// <summary>A distance in the scene as typed, with its unit: <c>5m</c>, <c>45cm</c>, <c>900mm</c> or <c>infinity</c>. Millimetres.</summary>
internal static class DistanceText
{
    public static double Parse(string text, string option)
    {
        if (text == "infinity")
            return double.PositiveInfinity;
        (string sign, double unit) = text.EndsWith("mm", StringComparison.Ordinal) ? ("mm", 1)
            : text.EndsWith("cm", StringComparison.Ordinal) ? ("cm", 10)
            : text.EndsWith('m') ? ("m", 1000.0)
            : throw new InputException($"{option} is '{text}', which has no unit.", option, "Write the unit, such as 5m, 45cm or 900mm, or write infinity.");
        return unit * NumberText.Positive(text[..^sign.Length], option);
    }
}
