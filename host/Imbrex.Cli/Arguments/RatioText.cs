using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Cli.Arguments;

/// <summary>A shape as typed: <c>5:4</c> is five wide and four high.</summary>
internal static class RatioText
{
    public static PlaneSize Parse(string text, string option)
    {
        string[] sides = text.Split(':');
        return sides.Length == 2
            ? new(NumberText.Positive(sides[0], option), NumberText.Positive(sides[1], option))
            : throw new InputException($"{option} is '{text}', which is not a shape.", option, "Write width, a colon and height, such as 5:4.");
    }
}
