using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Adapters;

/// <summary>
/// A carriage on an arm that swings about a pivot p: at the angle a the sensor's centre is p + R(a) (arm + offset), with R clockwise as x
/// goes right and y down (rotation of a plane about a point: Goldstein, Classical Mechanics, section 4.1; from memory).
/// </summary>
internal sealed class SwingingCarriage(PlanePoint pivot, PlanePoint arm, AxisStops stops, double miss) : Carriage
{
    private const double Degree = Math.PI / 180;

    // Nearer to the pivot than this, mm, a target lies in no direction from it: what is left of one is rounding.
    private const double AtPivot = 1e-11;

    public override IEnumerable<(double From, double To)> Rotations => stops.IsFree ? [(stops.Minimum, stops.Maximum)] : stops.Marked.Select(stop => (stop, stop));

    public override CarriageTolerance Tolerance => new(miss, miss);

    public override CarriagePose Place(IReadOnlyList<double> positions)
    {
        PlanePoint centre = pivot + arm.Rotated(positions[0]);
        return new(centre.X, centre.Y, positions[0]);
    }

    public override IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation) => [Nearest(Wanted(target, offset) ?? rotation)];

    public override IEnumerable<string> Misses(PlanePoint target, PlanePoint offset)
    {
        double length = (arm + offset).Length, distance = (target - pivot).Length;
        if (Math.Abs(length - distance) > SeatedBack.Rounding)
            yield return FormattableString.Invariant($"the place lies {distance:0.###} mm from the pivot and the arm is {length:0.###} mm long");
        if (Wanted(target, offset) is not { } wanted)
            yield break;
        double nearest = Nearest(wanted), angle = nearest + Angles.Wrap(wanted - nearest);
        if (Math.Abs(angle - nearest) <= SeatedBack.Rounding)
            yield break;
        FormattableString words = angle < stops.First ? $"the arm would have to stand at {angle:0.###} degrees and begins at {stops.First:0.###} degrees"
            : angle > stops.Last ? (FormattableString)$"the arm would have to stand at {angle:0.###} degrees and ends at {stops.Last:0.###} degrees"
            : $"the arm would have to stand at {angle:0.###} degrees and the nearest stop is {nearest:0.###} degrees";
        yield return FormattableString.Invariant(words);
    }

    // The ends of the arc or its stops, and where a free arc is farthest right, down, left and up.
    public override IEnumerable<PlanePoint> Extremes(PlanePoint offset)
    {
        double zero = Bearing(arm + offset);
        IEnumerable<double> turning = stops.IsFree
            ? new double[] { 0, 90, 180, 270 }.Select(way => way - zero + 360 * Math.Ceiling((stops.Minimum - way + zero) / 360)).Where(angle => angle < stops.Maximum)
            : [];
        return stops.Marked.Concat(turning).Select(angle => Place([angle]).Carry(offset));
    }

    public override double PathPerUnit(int axis) => arm.Length * Degree;

    // On the arc the nearer point is the one at the smaller angle: the same angle may lie a whole turn away on the scale.
    private double Nearest(double wanted)
    {
        double middle = (stops.First + stops.Last) / 2, near = middle + Angles.Wrap(wanted - middle);
        return new[] { near - 360, near, near + 360 }.Select(stops.Nearest).MinBy(stop => Math.Abs(Angles.Wrap(stop - wanted)));
    }

    // The arm's angle that points to the target; null where the target is the pivot itself.
    private double? Wanted(PlanePoint target, PlanePoint offset)
    {
        PlanePoint way = target - pivot;
        return way.Length <= AtPivot ? null : Bearing(way) - Bearing(arm + offset);
    }

    private static double Bearing(PlanePoint way) => Math.Atan2(way.Y, way.X) / Degree;
}
