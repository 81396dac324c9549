using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>What the forward kinematics tell of a carriage besides places: where its axes lead, how far, and how they turn it.</summary>
internal sealed class CarriageShape(PlaceFunction function, IReadOnlyList<AxisStops> stops, PlaceRaster raster)
{
    // Some hundred places of the raster tell directions well enough.
    private const int Samples = 200;

    // Simpson's rule over so many parts of a travel; exact where the speed is even.
    private const int Parts = 32;

    // Slower than this, mm for a unit of the axis, is standing still.
    private const double Standing = 1e-7;

    // Directions that differ by less are one.
    private const double Parallel = 1e-6;

    /// <summary>How far the axes may miss along x and y. An axis whose direction changes may miss in any.</summary>
    public CarriageTolerance Tolerance(IReadOnlyList<AxisSpec> axes)
    {
        double? x = null, y = null;
        for (int axis = 0; axis < axes.Count; axis++)
        {
            (double? alongX, double? alongY) = Shares(axis);
            x = alongX is { } shareX ? (x ?? 0) + shareX * axes[axis].Tolerance : x;
            y = alongY is { } shareY ? (y ?? 0) + shareY * axes[axis].Tolerance : y;
        }
        return new(x, y);
    }

    /// <summary>The play of an axis that turns the sensor must be part of the angular tolerance.</summary>
    /// <exception cref="InputException">It is not.</exception>
    public void DemandAngularTolerance(BackSpec spec)
    {
        for (int axis = 0; axis < stops.Count; axis++)
        {
            if (!CanMove(axis) || spec.Axes[axis].Tolerance == 0)
                continue;
            double slowest = spec.Turns.Min(turn => PathPerUnit(axis, turn.Offset)), turning = Sampled().Max(positions => Math.Abs(Derived(positions, axis, PlanePoint.Origin)[2]));
            double play = slowest > Standing ? spec.Axes[axis].Tolerance / slowest * turning : 0;
            if (play > spec.AngularTolerance + SeatedBack.Rounding)
            {
                throw new InputException(
                    FormattableString.Invariant($"A miss of {spec.Axes[axis].Tolerance:0.###} mm turns the sensor by {play:0.###} degrees, and angularToleranceDeg says {spec.AngularTolerance:0.###}."),
                    "back.angularToleranceDeg", FormattableString.Invariant($"Give at least {Math.Ceiling(play * 1000) / 1000:0.###}, or a smaller toleranceMm for back.axes[{axis}]."));
            }
        }
    }

    /// <summary>Mean path for one unit of an axis, mm.</summary>
    public double PathPerUnit(int axis) => PathPerUnit(axis, PlanePoint.Origin);

    /// <summary>From where to where the carriage turns.</summary>
    public IEnumerable<(double From, double To)> Rotations()
    {
        int[] movable = [.. Enumerable.Range(0, stops.Count).Where(raster.IsFree)];
        double[] turned = [.. raster.Poses.Select(pose => pose.Rotation).Distinct()];
        if (movable.Length == 0)
            return turned.Select(rotation => (rotation, rotation));
        if (turned.Length == 1)
            return [(turned[0], turned[0])];
        double End(double way)
        {
            int start = Enumerable.Range(0, raster.Poses.Length).MaxBy(i => way * raster.Poses[i].Rotation);
            return function.At(new Descent(function, stops, PlanePoint.Origin, Goal.Far(0, 0, way)).From(raster.PositionsOf(start), movable)).Rotation;
        }
        return [(End(-1), End(1))];
    }

    private double PathPerUnit(int axis, PlanePoint offset)
    {
        if (!CanMove(axis))
            return 1;
        bool apart = stops[axis].Last - stops[axis].First > PlaceRaster.ShortestTravel;
        double from = apart ? stops[axis].First : stops[axis].Minimum, to = apart ? stops[axis].Last : stops[axis].Maximum;
        double[] positions = [.. stops.Select(known => (known.First + known.Last) / 2)];
        double sum = 0;
        for (int i = 0; i <= Parts; i++)
        {
            positions[axis] = from + (to - from) * i / Parts;
            double[] slope = Derived(positions, axis, offset);
            sum += new PlanePoint(slope[0], slope[1]).Length * (i is 0 or Parts ? 1 : i % 2 == 1 ? 4 : 2);
        }
        return sum / (3 * Parts);
    }

    private bool Turns(int axis) => CanMove(axis) && Sampled().Any(positions => Math.Abs(Derived(positions, axis, PlanePoint.Origin)[2]) > Standing);

    // How much of an axis's miss may lie along x and along y; null for none. Of one that is clamped no direction is known, so all of it in both.
    private (double? X, double? Y) Shares(int axis)
    {
        if (!CanMove(axis))
            return (1, 1);
        PlanePoint[] ways = [.. Ways(axis)];
        if (ways.Length == 0)
            return (null, null);
        bool isStraight = !Turns(axis) && ways.All(way => Math.Abs(way.X * ways[0].Y - way.Y * ways[0].X) <= Parallel);
        return isStraight ? (Share(ways[0].X), Share(ways[0].Y)) : (1, 1);

        static double? Share(double way) => Math.Abs(way) > Parallel ? Math.Abs(way) : null;
    }

    // The directions in which an axis moves the sensor, each of length 1.
    private IEnumerable<PlanePoint> Ways(int axis)
    {
        if (!CanMove(axis))
            yield break;
        foreach (double[] positions in Sampled())
        {
            double[] slope = Derived(positions, axis, PlanePoint.Origin);
            PlanePoint way = new(slope[0], slope[1]);
            if (way.Length > Standing)
                yield return 1 / way.Length * way;
        }
    }

    private IEnumerable<double[]> Sampled()
    {
        int count = Math.Min(Samples, raster.Poses.Length);
        return Enumerable.Range(0, count).Select(i => raster.PositionsOf(count == 1 ? 0 : (int)((long)i * (raster.Poses.Length - 1) / (count - 1))));
    }

    private double[] Derived(double[] positions, int axis, PlanePoint offset) => Jet.At(function, stops, [axis], positions, offset).First(0);

    // Whether there is any travel, between detents too.
    private bool CanMove(int axis) => stops[axis].Maximum - stops[axis].Minimum > PlaceRaster.ShortestTravel;
}
