namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>Where a tile's middle may lie along one direction: anywhere between two ends, or only at some stops.</summary>
/// <param name="From">First position, mm.</param>
/// <param name="To">Last position, mm.</param>
/// <param name="Stops">The only positions, rising; empty for anywhere between the ends.</param>
internal sealed record Reach(double From, double To, IReadOnlyList<double> Stops)
{
    // What rounding may lose of a position.
    private const double Rounding = 1e-7;

    public static Reach Anywhere { get; } = new(double.NegativeInfinity, double.PositiveInfinity, []);

    /// <summary>The stops in any order, or a single place.</summary>
    public static Reach At(IEnumerable<double> stops)
    {
        double[] rising = [.. stops.Distinct().Order()];
        return new(rising[0], rising[^1], rising);
    }

    public bool Holds(double position) => Stops.Count == 0
        ? position >= From - Rounding && position <= To + Rounding
        : Stops.Any(stop => Math.Abs(stop - position) <= Rounding);

    /// <summary>The last place that is not beyond a position, or null for none.</summary>
    public double? LastUpTo(double position)
    {
        if (Stops.Count == 0)
            return position < From - Rounding ? null : Math.Clamp(position, From, To);
        double? last = null;
        foreach (double stop in Stops)
        {
            if (stop <= position + Rounding)
                last = stop;
        }
        return last;
    }
}
