using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>The places of a carriage on a raster of its travel: detents all, free axes at even steps. The last axis goes fastest.</summary>
internal sealed class PlaceRaster
{
    // Steps along each free axis, by how many are free: some thousand places in all.
    private static readonly int[] Steps = [1, 181, 49, 15, 7, 5, 4];

    /// <summary>An axis with less travel stands still, mm or degrees.</summary>
    public const double ShortestTravel = 1e-6;

    /// <summary>Axes that a carriage may have.</summary>
    public const int MostAxes = 6;

    // More places take longer than a check may.
    private const int MostPlaces = 100_000;

    private const int AskedTwice = 61;

    private readonly double[][] _positions;
    private readonly int[] _strides;
    private readonly bool[] _free;

    public PlaceRaster(PlaceFunction function, IReadOnlyList<AxisStops> stops)
    {
        if (stops.Count > MostAxes)
            throw new InputException($"The back has {stops.Count} axes; {MostAxes} are the most.", "back.axes", "Leave out axes that are not moved between exposures.");
        Function = function;
        _free = [.. stops.Select(axis => axis.IsFree && axis.Maximum - axis.Minimum > ShortestTravel)];
        int steps = Steps[_free.Count(free => free)];
        _positions = [.. stops.Select((axis, i) => _free[i] ? Even(axis.Minimum, axis.Maximum, steps) : [.. axis.Marked.Distinct()])];
        long places = _positions.Aggregate(1L, (product, axis) => product * axis.Length);
        if (places > MostPlaces)
            throw new InputException($"The stops of the axes together make {places} places; {MostPlaces} are the most.", "back.axes", "Give fewer detents, or leave detents out of one axis.");
        _strides = new int[stops.Count];
        for (int axis = stops.Count - 1, stride = 1; axis >= 0; stride *= _positions[axis--].Length)
            _strides[axis] = stride;
        Poses = new CarriagePose[places];
        for (int i = 0; i < Poses.Length; i++)
            Poses[i] = function.At(PositionsOf(i));
        for (int ask = 0; ask < AskedTwice; ask++)
        {
            int i = (int)((long)(Poses.Length - 1) * (AskedTwice - 1 - ask) / (AskedTwice - 1));
            function.DemandSame(PositionsOf(i), Poses[i]);
        }
    }

    public PlaceFunction Function { get; }

    /// <summary>The place of each raster point.</summary>
    public CarriagePose[] Poses { get; }

    /// <summary>Whether an axis stops anywhere in a travel that has a length.</summary>
    public bool IsFree(int axis) => _free[axis];

    public double[] PositionsOf(int point)
    {
        double[] positions = new double[_strides.Length];
        for (int axis = 0; axis < positions.Length; axis++)
            positions[axis] = _positions[axis][point / _strides[axis] % _positions[axis].Length];
        return positions;
    }

    /// <summary>The neighbours along the free axes.</summary>
    public IEnumerable<int> Neighbours(int point)
    {
        for (int axis = 0; axis < _free.Length; axis++)
        {
            if (!_free[axis])
                continue;
            int at = point / _strides[axis] % _positions[axis].Length;
            if (at > 0)
                yield return point - _strides[axis];
            if (at < _positions[axis].Length - 1)
                yield return point + _strides[axis];
        }
    }

    /// <summary>How far the centre goes to the farthest of the neighbours along each free axis, summed, mm: more than it goes to any place between.</summary>
    public double Spread(int point, PlanePoint offset)
    {
        PlanePoint here = Poses[point].Carry(offset);
        double sum = 0;
        for (int axis = 0; axis < _free.Length; axis++)
        {
            if (!_free[axis])
                continue;
            int at = point / _strides[axis] % _positions[axis].Length;
            double before = at > 0 ? (Poses[point - _strides[axis]].Carry(offset) - here).Length : 0;
            double after = at < _positions[axis].Length - 1 ? (Poses[point + _strides[axis]].Carry(offset) - here).Length : 0;
            sum += Math.Max(before, after);
        }
        return sum;
    }

    private static double[] Even(double from, double to, int count) =>
        [.. Enumerable.Range(0, count).Select(i => i == count - 1 ? to : from + (to - from) * i / (count - 1))];
}
