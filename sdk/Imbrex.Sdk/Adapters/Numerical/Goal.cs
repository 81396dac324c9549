using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>What a descent makes small: half the squared distance to a place and a rotation, each with its weight, or the way against a direction.</summary>
internal sealed class Goal
{
    private readonly double[] _weights;
    private readonly double[] _wanted;
    private readonly double[] _direction;

    private Goal(double[] weights, double[] wanted, double[] direction) => (_weights, _wanted, _direction) = (weights, wanted, direction);

    /// <summary>As near to a place as can be.</summary>
    /// <param name="target">The place.</param>
    /// <param name="rotation">The rotation, degrees.</param>
    /// <param name="weight">What a degree counts, mm.</param>
    public static Goal Near(PlanePoint target, double rotation = 0, double weight = 0) => new([1, 1, weight * weight], [target.X, target.Y, rotation], [0, 0, 0]);

    /// <summary>As far as can be along a direction of x, y and rotation.</summary>
    public static Goal Far(double x, double y, double rotation) => new([0, 0, 0], [0, 0, 0], [-x, -y, -rotation]);

    /// <summary>The value at x, y and rotation.</summary>
    public double Value(double[] place)
    {
        double sum = 0;
        for (int c = 0; c < 3; c++)
            sum += _weights[c] / 2 * Miss(place, c) * Miss(place, c) + _direction[c] * place[c];
        return sum;
    }

    /// <summary>Its derivative by x, y or rotation.</summary>
    public double Slope(double[] place, int c) => _weights[c] * Miss(place, c) + _direction[c];

    /// <summary>Its second derivative by x, y or rotation.</summary>
    public double Bend(int c) => _weights[c];

    private double Miss(double[] place, int c) => _weights[c] == 0 ? 0 : c == 2 ? Angles.Wrap(place[2] - _wanted[2]) : place[c] - _wanted[c];
}
