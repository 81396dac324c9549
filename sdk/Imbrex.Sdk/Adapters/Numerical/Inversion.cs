using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>Inverse kinematics from forward ones: the nearest places of the raster, made exact.</summary>
internal sealed class Inversion
{
    // Distances that differ by less are one, mm.
    private const double Alike = 1e-9;

    // Starts that are followed at most. They come in order of distance, and most are too far to be followed.
    private const int MostStarts = 200;

    // Where axes are to spare, places that do lie in long valleys.
    private const int MostStartsInValleys = 32;

    // What a degree of rotation counts among those, mm.
    private const double DegreeAmongStarts = 0.05;

    // What it counts when axes to spare turn the carriage: first strongly, then so weakly that the place is exact.
    private static readonly double[] DegreeToSpare = [0.05, 1e-4];

    private readonly PlaceFunction _function;
    private readonly AxisStops[] _stops;
    private readonly PlaceRaster _raster;
    private readonly Func<CarriagePose, IReadOnlyList<double>>? _inverse;
    private readonly double _slack;
    private readonly double _angularSlack;
    private readonly int[] _movable;
    private readonly bool _turns;
    private readonly bool _toSpare;

    /// <summary>Prepares.</summary>
    /// <param name="function">Forward kinematics.</param>
    /// <param name="stops">The axes.</param>
    /// <param name="raster">Places known.</param>
    /// <param name="inverse">Positions for a place, where known.</param>
    /// <param name="slack">A place this near is reached, mm; of several that are, one that is also turned as wanted comes first.</param>
    /// <param name="angularSlack">A rotation this near is as wanted, degrees.</param>
    public Inversion(PlaceFunction function, AxisStops[] stops, PlaceRaster raster, Func<CarriagePose, IReadOnlyList<double>>? inverse, double slack, double angularSlack)
    {
        (_function, _stops, _raster, _inverse, _slack, _angularSlack) = (function, stops, raster, inverse, slack + SeatedBack.Rounding, angularSlack + SeatedBack.Rounding);
        _movable = [.. Enumerable.Range(0, stops.Length).Where(raster.IsFree)];
        _turns = raster.Poses.Any(pose => pose.Rotation != raster.Poses[0].Rotation);
        _toSpare = _turns && _movable.Length > 2;
    }

    /// <summary>The legal positions that bring the centre nearest to a target.</summary>
    public double[] Nearest(PlanePoint target, PlanePoint offset, double rotation)
    {
        Way? best = Guessed(target, offset, rotation) is { } guess ? Follow(guess, target, offset, rotation) : null;
        foreach (int start in Starts(target, offset, rotation))
        {
            double atLeast = (_raster.Poses[start].Carry(offset) - target).Length - _raster.Spread(start, offset);
            if (best is not null && atLeast > (Does(best) ? best.Miss + Alike : Math.Max(best.Miss + Alike, _slack)))
                continue;
            Way way = Follow(_raster.PositionsOf(start), target, offset, rotation);
            if (best is null || IsBetter(way, best))
                best = way;
        }
        return best!.Positions;
    }

    /// <summary>Why a target is not reached.</summary>
    public IEnumerable<string> Misses(PlanePoint target, PlanePoint offset, IReadOnlyList<AxisNeed> needs)
    {
        double[] nearest = Nearest(target, offset, 0);
        PlanePoint there = _function.At(nearest).Carry(offset);
        if ((there - target).Length <= SeatedBack.Rounding)
            return [];
        int[] all = [.. Enumerable.Range(0, _stops.Length).Where(axis => _stops[axis].Last > _stops[axis].First)];
        double[] between = all.Length > _movable.Length ? new Descent(_function, _stops, offset, Goal.Near(target)).From(nearest, all) : nearest;
        if ((_function.At(between).Carry(offset) - target).Length <= SeatedBack.Rounding)
            return MissedStops(all.Where(axis => Math.Abs(between[axis] - nearest[axis]) > SeatedBack.Rounding), between, nearest, needs);
        string where = FormattableString.Invariant($"the nearest that it comes is ({there.X:0.###}, {there.Y:0.###}) mm on the upright back, {(there - target).Length:0.###} mm off");
        string ends = string.Join(" and ", Ends(all, nearest, needs));
        return [ends.Length > 0 ? $"{where}, with {ends}" : where];
    }

    private IEnumerable<string> MissedStops(IEnumerable<int> axes, double[] between, double[] nearest, IReadOnlyList<AxisNeed> needs) => axes.Select(axis => _stops[axis].IsFree
        ? FormattableString.Invariant($"{needs[axis].Words} would then have to be at {between[axis]:0.###} {Unit(needs[axis])}")
        : FormattableString.Invariant($"{needs[axis].Words} would have to be at {between[axis]:0.###} {Unit(needs[axis])} and the nearest stop is {nearest[axis]:0.###} {Unit(needs[axis])}"));

    private IEnumerable<string> Ends(IEnumerable<int> axes, double[] nearest, IReadOnlyList<AxisNeed> needs) =>
        from axis in axes
        let isFirst = nearest[axis] <= _stops[axis].First
        where isFirst || nearest[axis] >= _stops[axis].Last
        select FormattableString.Invariant($"{needs[axis].Words} at {(isFirst ? "its beginning" : "its end")}, {nearest[axis]:0.###} {Unit(needs[axis])}");

    private static string Unit(AxisNeed need) => need.IsPivot ? "degrees" : "mm";

    /// <summary>The places farthest left, up, right and down.</summary>
    public IEnumerable<PlanePoint> Extremes(PlanePoint offset) => new PlanePoint[] { new(-1, 0), new(0, -1), new(1, 0), new(0, 1) }.Select(way =>
    {
        double[] far = [.. _raster.Poses.Select(pose => -Along(pose.Carry(offset), way))];
        var descent = new Descent(_function, _stops, offset, Goal.Far(way.X, way.Y, 0));
        PlanePoint farthest = Lowest(far).Take(4)
            .Select(start => _function.At(descent.From(_raster.PositionsOf(start), _movable)).Carry(offset))
            .MaxBy(place => Along(place, way));
        // What rounding and a bend between two places of the raster may add.
        return farthest + SeatedBack.Rounding * way;
    });

    private static double Along(PlanePoint place, PlanePoint way) => place.X * way.X + place.Y * way.Y;

    private IEnumerable<int> Starts(PlanePoint target, PlanePoint offset, double rotation)
    {
        double[] merits = new double[_raster.Poses.Length];
        for (int i = 0; i < merits.Length; i++)
        {
            CarriagePose pose = _raster.Poses[i];
            PlanePoint miss = (offset == default ? pose.Centre : pose.Carry(offset)) - target;
            double turned = _toSpare ? DegreeAmongStarts * Angles.Wrap(pose.Rotation - rotation) : 0;
            merits[i] = miss.X * miss.X + miss.Y * miss.Y + turned * turned;
        }
        return Lowest(merits).Take(_toSpare ? MostStartsInValleys : MostStarts);
    }

    // The points lower than their neighbours, the lowest first. Where nothing can move, all points are.
    private IEnumerable<int> Lowest(double[] merits) =>
        Enumerable.Range(0, merits.Length).Where(i => _movable.Length == 0 || _raster.Neighbours(i).All(other => merits[i] <= merits[other])).OrderBy(i => merits[i]);

    private double[]? Guessed(PlanePoint target, PlanePoint offset, double rotation)
    {
        if (_inverse is null)
            return null;
        double turned = rotation;
        double[]? guess = null;
        // The offset turns with the carriage, and how far that is turned there is known after the first answer only.
        for (int turn = 0; turn < (_turns && offset != default ? 3 : 1); turn++)
        {
            PlanePoint own = target - offset.Rotated(turned);
            IReadOnlyList<double> positions = _inverse(new(own.X, own.Y, rotation));
            if (positions is null || positions.Count != _stops.Length)
                throw new InputException($"The inverse gives {positions?.Count ?? 0} positions; the back has {_stops.Length} axes.", "Inverse", "Give one position for each axis, in the order in which the axes are declared.");
            if (!positions.All(double.IsFinite))
                return guess;
            guess = [.. positions.Select((position, axis) => _stops[axis].Nearest(position))];
            turned = _function.At(guess).Rotation;
        }
        return guess;
    }

    private Way Follow(double[] start, PlanePoint target, PlanePoint offset, double rotation)
    {
        double[] positions = new Descent(_function, _stops, offset, Goal.Near(target)).From(start, _movable);
        Way way = At(positions, target, offset, rotation);
        return _toSpare && way.Miss <= SeatedBack.Rounding && way.Skew > SeatedBack.Rounding ? Turned(way, target, offset, rotation) : way;
    }

    // More axes than the place needs turn the carriage as wanted.
    private Way Turned(Way way, PlanePoint target, PlanePoint offset, double rotation)
    {
        double[] positions = way.Positions;
        foreach (double degree in DegreeToSpare)
            positions = new Descent(_function, _stops, offset, Goal.Near(target, rotation, degree)).From(positions, _movable);
        Way turned = At(new Descent(_function, _stops, offset, Goal.Near(target)).From(positions, _movable), target, offset, rotation);
        return turned.Miss <= way.Miss + Alike && turned.Skew < way.Skew ? turned : way;
    }

    private Way At(double[] positions, PlanePoint target, PlanePoint offset, double rotation)
    {
        CarriagePose pose = _function.At(positions);
        return new(positions, (pose.Carry(offset) - target).Length, Math.Abs(Angles.Wrap(pose.Rotation - rotation)));
    }

    private bool IsBetter(Way one, Way other)
    {
        if (Does(one) != Does(other))
            return Does(one);
        if (Math.Abs(one.Miss - other.Miss) > Alike)
            return one.Miss < other.Miss;
        if (Math.Abs(one.Skew - other.Skew) > Alike)
            return one.Skew < other.Skew;
        for (int axis = 0; axis < one.Positions.Length; axis++)
        {
            if (Math.Abs(one.Positions[axis] - other.Positions[axis]) > SeatedBack.Rounding)
                return one.Positions[axis] < other.Positions[axis];
        }
        return false;
    }

    private bool Does(Way way) => way.Miss <= _slack && way.Skew <= _angularSlack;

    private sealed record Way(double[] Positions, double Miss, double Skew);
}
