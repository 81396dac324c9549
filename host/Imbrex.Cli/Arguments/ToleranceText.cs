using Imbrex.Sdk;

namespace Imbrex.Cli.Arguments;

/// <summary>How far a back may miss what is dialled in.</summary>
/// <param name="Position">Millimetres on the image plane.</param>
/// <param name="Angle">Degrees, or null where only the position was given.</param>
/// <remarks>A class, as what options hold should be: the parser's code for a struct of ours is compiled anew at every start.</remarks>
internal sealed record Tolerance(double Position, double? Angle);

/// <summary>A tolerance as typed: <c>0.5</c> or <c>0.5,0.3</c>.</summary>
internal static class ToleranceText
{
    public static Tolerance Parse(string text, string option)
    {
        string[] parts = text.Split(',');
        if (parts.Length > 2)
            throw new InputException($"{option} is '{text}'.", option, "Give millimetres and, after one comma, degrees: 0.5,0.3.");
        double position = NumberText.NotNegative(parts[0], option);
        return new(position, parts.Length == 2 ? NumberText.NotNegative(parts[1], option) : null);
    }
}
