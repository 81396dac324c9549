using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>A place with its first and second derivatives by the free axes: x, y and the rotation, mm and degrees.</summary>
/// <remarks>
/// Derivatives are those of the polynomial through five places that lie within the travel (Lagrange's; Abramowitz and Stegun, 25.2 and 25.3, from memory); mixed ones come from four.
/// </remarks>
internal sealed class Jet
{
    // A tenth of a millimetre or degree: the fifth derivative of a linkage of some 50 mm then adds less than 1e-12, and so does rounding.
    private const double Width = 0.1;

    private const int Nodes = 5;

    private readonly double[][] _first;
    private readonly double[,][] _second;

    private Jet(double[] value, double[][] first, double[,][] second) => (Value, _first, _second) = (value, first, second);

    /// <summary>x, y, rotation.</summary>
    public double[] Value { get; }

    /// <summary>Derivatives of x, y and rotation by a free axis.</summary>
    public double[] First(int free) => _first[free];

    public double[] Second(int free, int other) => _second[free, other];

    /// <summary>The derivatives at legal positions.</summary>
    /// <param name="function">The forward kinematics.</param>
    /// <param name="stops">The axes.</param>
    /// <param name="free">Which of them are to be derived by.</param>
    /// <param name="positions">Where.</param>
    /// <param name="offset">The offset of the body's turn.</param>
    public static Jet At(PlaceFunction function, IReadOnlyList<AxisStops> stops, int[] free, double[] positions, PlanePoint offset)
    {
        double[] here = Values(function.At(positions), offset, null);
        double[][] first = new double[free.Length][];
        var second = new double[free.Length, free.Length][];
        for (int i = 0; i < free.Length; i++)
            (first[i], second[i, i]) = Along(free[i]);
        for (int i = 0; i < free.Length; i++)
        {
            for (int k = 0; k < i; k++)
                second[i, k] = second[k, i] = Mixed(free[i], free[k]);
        }
        return new(here, first, second);

        (double[] First, double[] Second) Along(int axis)
        {
            double h = Half(axis), start = Math.Max(stops[axis].Minimum, Math.Min(positions[axis] - 2 * h, stops[axis].Maximum - 4 * h)), u = (positions[axis] - start) / h;
            double[] slope = new double[3], bend = new double[3];
            for (int node = 0; node < Nodes; node++)
            {
                double[] there = Moved(axis, node == Nodes - 1 ? Math.Min(start + 4 * h, stops[axis].Maximum) : start + node * h);
                (double d1, double d2) = Lagrange(node, u);
                for (int c = 0; c < 3; c++)
                {
                    // Differences to the place itself lose less to rounding; the weights sum to nothing.
                    slope[c] += d1 / h * (there[c] - here[c]);
                    bend[c] += d2 / (h * h) * (there[c] - here[c]);
                }
            }
            return (slope, bend);
        }

        double[] Mixed(int axis, int other)
        {
            double h = Half(axis), g = Half(other);
            double a = Math.Clamp(positions[axis], stops[axis].Minimum + h, stops[axis].Maximum - h), b = Math.Clamp(positions[other], stops[other].Minimum + g, stops[other].Maximum - g);
            double[] pp = Corner(a + h, b + g), pm = Corner(a + h, b - g), mp = Corner(a - h, b + g), mm = Corner(a - h, b - g);
            return [.. Enumerable.Range(0, 3).Select(c => (pp[c] - pm[c] - mp[c] + mm[c]) / (4 * h * g))];

            double[] Corner(double one, double two)
            {
                double[] moved = [.. positions];
                (moved[axis], moved[other]) = (one, two);
                return Values(function.At(moved), offset, here[2]);
            }
        }

        double[] Moved(int axis, double position)
        {
            double[] moved = [.. positions];
            moved[axis] = position;
            return Values(function.At(moved), offset, here[2]);
        }

        double Half(int axis) => Math.Min(Width, (stops[axis].Maximum - stops[axis].Minimum) / 4);
    }

    // A rotation that jumps by whole turns is followed.
    private static double[] Values(CarriagePose pose, PlanePoint offset, double? near)
    {
        PlanePoint centre = pose.Carry(offset);
        return [centre.X, centre.Y, near is { } rotation ? rotation + Angles.Wrap(pose.Rotation - rotation) : pose.Rotation];
    }

    // First and second derivative at u of the polynomial that is 1 at a node and 0 at the others.
    private static (double First, double Second) Lagrange(int node, double u)
    {
        double first = 0, second = 0, below = 1;
        for (int i = 0; i < Nodes; i++)
        {
            if (i == node)
                continue;
            below *= node - i;
            double rest = 1;
            for (int k = 0; k < Nodes; k++)
            {
                if (k == node || k == i)
                    continue;
                rest *= u - k;
                double rests = 1;
                for (int m = 0; m < Nodes; m++)
                {
                    if (m != node && m != i && m != k)
                        rests *= u - m;
                }
                second += rests;
            }
            first += rest;
        }
        return (first / below, second / below);
    }
}
