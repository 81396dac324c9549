using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>The parameter <c>turn</c> that most layouts share, and the turns that a back allows.</summary>
internal static class BodyTurn
{
    public const string Name = "turn";
    private const string Best = "best";

    public static ParameterDefinition Parameter { get; } = ParameterDefinition.Choice(
        Name, "The body's turn, clockwise seen from behind; best: level or upright, whichever needs fewer frames", "0", "90", "180", "270", Best);

    /// <summary>The arrangement at the turn asked for, or of fewest tiles among what fits the back.</summary>
    public static IReadOnlyList<Tile> Arrange(LayoutRequest request, Func<Turn, IReadOnlyList<Tile>> arrange)
    {
        if (request.Parameters.Word(Name) is var word && word != Best)
        {
            Turn asked = Turns.FromDegrees(int.Parse(word, System.Globalization.CultureInfo.InvariantCulture));
            if (!IsOffered(asked, request.Limits))
                throw Refused.TurnNotOffered([asked], request.Limits.Turns);
            return Limits.Checked(arrange(asked), request.Limits);
        }
        IReadOnlyList<Tile>? best = null;
        Sdk.RefusalException? refusal = null;
        foreach (Turn turn in new[] { Level(request.Limits), Upright(request.Limits) }.OfType<Turn>())
        {
            try
            {
                IReadOnlyList<Tile> tiles = Limits.Checked(arrange(turn), request.Limits);
                best = best is null || tiles.Count < best.Count ? tiles : best;
            }
            catch (Sdk.RefusalException e)
            {
                refusal ??= e;
            }
        }
        return best ?? throw refusal ?? Refused.TurnNotOffered([Turn.None, Turn.Quarter], request.Limits.Turns);
    }

    /// <summary>A turn that lays the sensor level, or null.</summary>
    public static Turn? Level(BackLimits limits) => First(limits, Turn.None, Turn.Half);

    /// <summary>A turn that stands the sensor upright, or null.</summary>
    public static Turn? Upright(BackLimits limits) => First(limits, Turn.Quarter, Turn.ThreeQuarters);

    /// <summary>Whether the back can put the sensor's rectangle so: half a turn more covers the same rectangle, and the host chooses.</summary>
    public static bool IsOffered(Turn turn, BackLimits limits) => limits.Turns.Contains(turn) || limits.Turns.Contains(turn.Plus(Turn.Half));

    private static Turn? First(BackLimits limits, params ReadOnlySpan<Turn> turns)
    {
        foreach (Turn turn in turns)
        {
            if (limits.Turns.Contains(turn))
                return turn;
        }
        return null;
    }
}
