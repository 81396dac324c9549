using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>Newton's method within the travel of the free axes; detents stay as they are.</summary>
/// <remarks>
/// Axes at an end that would go beyond it stand still (active set), the Hessian is made positive by adding to its diagonal, and a step that does not help is halved
/// (Nocedal and Wright, Numerical Optimization, 2nd ed., sections 3.3, 3.4 and 16.7; from memory).
/// </remarks>
internal sealed class Descent(PlaceFunction function, IReadOnlyList<AxisStops> stops, PlanePoint offset, Goal goal)
{
    private const int MostSteps = 50;
    private const int MostHalvings = 16;
    private const int MostTries = 30;

    // A value that differs by less than this part is rounding: the slope then tells what is better.
    private const double Alike = 1e-13;

    // Steps shorter than this, mm or degrees, change nothing.
    private const double Still = 1e-13;

    /// <summary>The lowest positions that lie downhill of a start.</summary>
    /// <param name="start">Legal positions.</param>
    /// <param name="movable">The axes that may move.</param>
    public double[] From(double[] start, int[] movable)
    {
        double[] at = [.. start];
        if (movable.Length == 0)
            return at;
        State state = new(this, movable, at);
        for (int step = 0; step < MostSteps; step++)
        {
            if (state.Next() is not { } next)
                break;
            bool still = Enumerable.Range(0, at.Length).All(axis => Math.Abs(next.Positions[axis] - state.Positions[axis]) <= Still);
            state = next;
            if (still)
                break;
        }
        return state.Positions;
    }

    private sealed class State
    {
        private readonly Descent _descent;
        private readonly int[] _movable;
        private readonly Jet _jet;
        private readonly double _value;
        private readonly double[] _slopes;
        private readonly int[] _inside;

        public State(Descent descent, int[] movable, double[] positions)
        {
            (_descent, _movable, Positions) = (descent, movable, positions);
            _jet = Jet.At(descent.Function, descent.Stops, movable, positions, descent.Offset);
            _value = descent.Goal.Value(_jet.Value);
            _slopes = [.. Enumerable.Range(0, movable.Length).Select(Slope)];
            _inside = [.. Enumerable.Range(0, movable.Length).Where(IsInside)];
        }

        public double[] Positions { get; }

        // What the slopes of the axes that can still go come to.
        private double Steepness => Math.Sqrt(_inside.Sum(i => _slopes[i] * _slopes[i]));

        /// <summary>A better state, or null.</summary>
        public State? Next()
        {
            if (_inside.Length == 0 || Steepness == 0)
                return null;
            double[] way = Way();
            for (int halving = 0; halving < MostHalvings; halving++)
            {
                double[] tried = [.. Positions];
                for (int k = 0; k < _inside.Length; k++)
                {
                    int axis = _movable[_inside[k]];
                    tried[axis] = Math.Clamp(Positions[axis] + way[k], _descent.Stops[axis].Minimum, _descent.Stops[axis].Maximum);
                    way[k] /= 2;
                }
                double value = _descent.ValueAt(tried);
                if (value < _value - Alike * Math.Abs(_value))
                    return new(_descent, _movable, tried);
                if (value <= _value + Alike * Math.Abs(_value) && new State(_descent, _movable, tried) is var flat && flat.Steepness < 0.7 * Steepness)
                    return flat;
            }
            return null;
        }

        private double Slope(int i)
        {
            double sum = 0;
            for (int c = 0; c < 3; c++)
                sum += _descent.Goal.Slope(_jet.Value, c) * _jet.First(i)[c];
            return sum;
        }

        private bool IsInside(int i)
        {
            int axis = _movable[i];
            return !(Positions[axis] <= _descent.Stops[axis].Minimum && _slopes[i] >= 0) && !(Positions[axis] >= _descent.Stops[axis].Maximum && _slopes[i] <= 0);
        }

        private double Bend(int i, int k)
        {
            double sum = 0;
            for (int c = 0; c < 3; c++)
                sum += _descent.Goal.Bend(c) * _jet.First(i)[c] * _jet.First(k)[c] + _descent.Goal.Slope(_jet.Value, c) * _jet.Second(i, k)[c];
            return sum;
        }

        private double[] Way()
        {
            int n = _inside.Length;
            double[,] bends = new double[n, n];
            double largest = 0;
            for (int i = 0; i < n; i++)
            {
                for (int k = 0; k < n; k++)
                {
                    bends[i, k] = Bend(_inside[i], _inside[k]);
                    largest = Math.Max(largest, Math.Abs(bends[i, k]));
                }
            }
            double[] down = [.. _inside.Select(i => -_slopes[i])];
            if (largest == 0)
                largest = down.Max(Math.Abs) / _inside.Max(i => _descent.Stops[_movable[i]].Maximum - _descent.Stops[_movable[i]].Minimum);
            // Next to nothing where the value bends upwards; where it bends downwards, twice what is needed at most, or the steps would be short.
            double more = 1e-14 * largest;
            for (int tries = 0; tries < MostTries; tries++, more = Math.Max(2 * more, 1e-3 * largest))
            {
                if (Cholesky.Solve(bends, more, down) is { } way)
                    return way;
            }
            return down;
        }
    }

    private PlaceFunction Function => function;

    private IReadOnlyList<AxisStops> Stops => stops;

    private PlanePoint Offset => offset;

    private Goal Goal => goal;

    private double ValueAt(double[] positions)
    {
        CarriagePose pose = function.At(positions);
        PlanePoint centre = pose.Carry(offset);
        return goal.Value([centre.X, centre.Y, pose.Rotation]);
    }
}
