using Imbrex.Sdk.Adapters;

namespace Imbrex.Plugins.Adapters;

/// <summary>Where an axis can stand: anywhere between two ends, or at its detents only.</summary>
internal sealed class Stops
{
    private readonly double[] _detents;

    private Stops(double minimum, double maximum, double[] detents) => (Minimum, Maximum, _detents) = (minimum, maximum, detents);

    public static Stops Of(AxisSpec axis) => new(axis.Minimum, axis.Maximum, [.. axis.Detents.Order()]);

    public static Stops At(double position) => new(position, position, [position]);

    public double Minimum { get; }

    public double Maximum { get; }

    public bool IsFree => _detents.Length == 0;

    public double First => IsFree ? Minimum : _detents[0];

    public double Last => IsFree ? Maximum : _detents[^1];

    /// <summary>The ends of a free axis, or every detent.</summary>
    public IReadOnlyList<double> Marked => IsFree ? [Minimum, Maximum] : _detents;

    /// <summary>What lies within narrower ends too; null where no stop does.</summary>
    public Stops? Within(double from, double to)
    {
        (double minimum, double maximum) = (Math.Max(Minimum, from), Math.Min(Maximum, to));
        double[] left = [.. _detents.Where(detent => detent >= minimum && detent <= maximum)];
        return minimum > maximum || (!IsFree && left.Length == 0) ? null : new(minimum, maximum, left);
    }

    /// <summary>The position that comes nearest.</summary>
    public double Nearest(double wanted)
    {
        if (IsFree)
            return Math.Clamp(wanted, Minimum, Maximum);
        int above = Array.BinarySearch(_detents, wanted);
        if (above >= 0)
            return wanted;
        above = ~above;
        if (above == 0)
            return _detents[0];
        if (above == _detents.Length)
            return _detents[^1];
        return wanted - _detents[above - 1] <= _detents[above] - wanted ? _detents[above - 1] : _detents[above];
    }
}
