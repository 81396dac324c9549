using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Cli.Arguments;

/// <summary>A rectangle, or its shape, that was typed. A class, as what options hold should be: see <see cref="Tolerance"/>.</summary>
/// <param name="Size">Its sides, mm, or their ratio.</param>
internal sealed record TypedSize(PlaneSize Size);

/// <summary>A rectangle as typed: <c>90x44</c> is 90 mm wide and 44 mm high.</summary>
internal static class SizeText
{
    public static PlaneSize Parse(string text, string option)
    {
        string[] sides = text.Split('x');
        if (sides.Length != 2 || sides.Any(string.IsNullOrWhiteSpace))
        {
            throw new InputException($"{option} is '{text}', which is not a width and a height.", option,
                "Write width, a lower-case x and height in millimetres, such as 90x44.");
        }
        return new(NumberText.Positive(sides[0], option), NumberText.Positive(sides[1], option));
    }
}
