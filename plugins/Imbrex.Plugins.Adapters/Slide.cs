using Imbrex.Sdk.Adapters;

namespace Imbrex.Plugins.Adapters;

/// <summary>One coordinate of the sensor: an axis that moves, with or without stops, or a height that is fixed.</summary>
internal sealed class Slide(AxisStops stops, string name)
{
    public static Slide Along(AxisSpec axis, string name) => new(AxisStops.Of(axis), name);

    public static Slide Fixed(double position, string name) => new(AxisStops.At(position), name) { IsFixed = true };

    public bool IsFixed { get; private init; }

    public double First => stops.First;

    public double Last => stops.Last;

    /// <summary>The position that comes nearest.</summary>
    public double Nearest(double wanted) => stops.Nearest(wanted);

    /// <summary>Why a position is not reached, in words; null where it is.</summary>
    public string? Miss(double wanted)
    {
        double nearest = Nearest(wanted);
        if (Math.Abs(nearest - wanted) <= SeatedBack.Rounding)
            return null;
        FormattableString words = true switch
        {
            _ when IsFixed => $"{name} is fixed at {nearest:0.###} mm and would have to be {wanted:0.###} mm",
            _ when wanted < First => $"{name} would have to be {wanted:0.###} mm and begins at {First:0.###} mm",
            _ when wanted > Last => $"{name} would have to be {wanted:0.###} mm and ends at {Last:0.###} mm",
            _ => $"{name} would have to be {wanted:0.###} mm and the nearest stop is {nearest:0.###} mm",
        };
        return FormattableString.Invariant(words);
    }
}
