namespace Imbrex.Sdk.Adapters;

/// <summary>Where an axis can stand: anywhere between two ends, or at its detents only. Immutable. Positions are mm, degrees for a pivot.</summary>
public sealed class AxisStops
{
    private readonly double[] _detents;

    private AxisStops(double minimum, double maximum, double[] detents) => (Minimum, Maximum, _detents) = (minimum, maximum, detents);

    /// <summary>The stops of an axis.</summary>
    /// <param name="axis">The axis, as <see cref="BackSpec.Validate"/> lets it pass.</param>
    public static AxisStops Of(AxisSpec axis)
    {
        ArgumentNullException.ThrowIfNull(axis);
        return new(axis.Minimum, axis.Maximum, [.. axis.Detents.Order()]);
    }

    /// <summary>One place only.</summary>
    public static AxisStops At(double position) => new(position, position, [position]);

    /// <summary>Where the travel begins.</summary>
    public double Minimum { get; }

    /// <summary>Where the travel ends.</summary>
    public double Maximum { get; }

    /// <summary>Whether the axis stops anywhere in its travel.</summary>
    public bool IsFree => _detents.Length == 0;

    /// <summary>The smallest position at which it stops.</summary>
    public double First => IsFree ? Minimum : _detents[0];

    /// <summary>The largest position at which it stops.</summary>
    public double Last => IsFree ? Maximum : _detents[^1];

    /// <summary>The two ends of a free axis, or every detent, rising.</summary>
    public IReadOnlyList<double> Marked => IsFree ? [Minimum, Maximum] : Array.AsReadOnly(_detents);

    /// <summary>What lies within narrower ends too; null where no stop does.</summary>
    /// <param name="from">The lower end.</param>
    /// <param name="to">The upper end.</param>
    public AxisStops? Within(double from, double to)
    {
        (double minimum, double maximum) = (Math.Max(Minimum, from), Math.Min(Maximum, to));
        double[] left = [.. _detents.Where(detent => detent >= minimum && detent <= maximum)];
        return minimum > maximum || (!IsFree && left.Length == 0) ? null : new(minimum, maximum, left);
    }

    /// <summary>The position that comes nearest; of two alike the smaller.</summary>
    /// <param name="wanted">Any finite position, within the travel or not.</param>
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
