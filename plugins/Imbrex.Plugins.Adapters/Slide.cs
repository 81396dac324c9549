using Imbrex.Sdk.Adapters;

namespace Imbrex.Plugins.Adapters;

/// <summary>One coordinate of the sensor: an axis that moves, with or without stops, or a height that is fixed.</summary>
internal sealed class Slide
{
    private readonly double[] _stops;
    private readonly double _minimum;
    private readonly double _maximum;
    private readonly string _name;

    private Slide(double minimum, double maximum, double[] stops, string name) => (_minimum, _maximum, _stops, _name) = (minimum, maximum, stops, name);

    public static Slide Along(AxisSpec axis, string name) => new(axis.Minimum, axis.Maximum, [.. axis.Detents.Order()], name);

    public static Slide Fixed(double position, string name) => new(position, position, [position], name) { IsFixed = true };

    public bool IsFixed { get; private init; }

    public double First => _stops.Length > 0 ? _stops[0] : _minimum;

    public double Last => _stops.Length > 0 ? _stops[^1] : _maximum;

    /// <summary>The position that comes nearest.</summary>
    public double Nearest(double wanted)
    {
        if (_stops.Length == 0)
            return Math.Clamp(wanted, _minimum, _maximum);
        int above = Array.BinarySearch(_stops, wanted);
        if (above >= 0)
            return wanted;
        above = ~above;
        if (above == 0)
            return _stops[0];
        if (above == _stops.Length)
            return _stops[^1];
        return wanted - _stops[above - 1] <= _stops[above] - wanted ? _stops[above - 1] : _stops[above];
    }

    /// <summary>Why a position is not reached, in words.</summary>
    public string Miss(double wanted)
    {
        double nearest = Nearest(wanted);
        FormattableString words = true switch
        {
            _ when IsFixed => $"{_name} is fixed at {nearest:0.###} mm and would have to be {wanted:0.###} mm",
            _ when wanted < First => $"{_name} would have to be {wanted:0.###} mm and begins at {First:0.###} mm",
            _ when wanted > Last => $"{_name} would have to be {wanted:0.###} mm and ends at {Last:0.###} mm",
            _ => $"{_name} would have to be {wanted:0.###} mm and the nearest stop is {nearest:0.###} mm",
        };
        return FormattableString.Invariant(words);
    }
}
