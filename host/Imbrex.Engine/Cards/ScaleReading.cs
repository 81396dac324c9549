using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Cards;

/// <summary>The back's own scale: its marks, and from which side a stop is come to.</summary>
internal static class ScaleReading
{
    private const string Falling = "falling";

    /// <summary>What the scale reads at a position of its axis.</summary>
    public static double Of(AxisPart axis, double position) => axis.ScaleZero + (axis.ScaleSign ?? 1) * position;

    /// <summary>Whether a move ends on the flank that the axis's play forbids, so that the slide must be run past and brought back.</summary>
    public static bool FromWrongSide(AxisPart axis, double from, double to) => axis.BacklashMm > 0 && axis.Approach switch
    {
        "rising" => to < from,
        Falling => to > from,
        _ => false,
    };

    /// <summary>From which numbers of the scale to come to every stop; null where either will do, as long as it is always the same.</summary>
    public static string? From(AxisPart axis) => axis.Approach is null or "any" ? null
        : (axis.Approach == Falling) == (axis.ScaleSign == -1) ? "from the smaller numbers" : "from the larger numbers";
}
