using Imbrex.Sdk.Adapters.Numerical;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters;

/// <summary>
/// A carriage of which only the forward kinematics are known: the place as a function of the axes. Inverse, limits, rotations, tolerances and paths are found from it numerically.
/// Immutable, and thread-safe where the function is.
/// </summary>
/// <remarks>
/// When it is made, the function is asked on a raster of the travel, every detent included, and some places twice. The inverse starts from the raster's nearest places and follows
/// Newton's method (Nocedal and Wright, Numerical Optimization, 2nd ed., chapters 3 and 16; from memory) within the travel, with derivatives from five points, until the place agrees to 1e-9 mm. Between
/// two raster places the function should be smooth; it is not defined outside the travel.
/// </remarks>
public sealed class NumericalCarriage : Carriage
{
    private readonly IReadOnlyList<AxisNeed> _needs;
    private readonly AxisStops[] _stops;
    private readonly PlaceRaster _raster;
    private readonly Inversion _inversion;
    private readonly double[] _paths;
    private readonly (double From, double To)[] _rotations;

    /// <summary>Makes a carriage of a specimen.</summary>
    /// <param name="spec">The specimen, as <see cref="BackSpec.Validate"/> lets it pass.</param>
    /// <param name="axes">What the axes are, for messages.</param>
    /// <param name="place">Forward kinematics: one position for each axis, mm or degrees, gives the place. The same positions must give the same place.</param>
    /// <param name="inverse">
    /// Where it is known: the positions for a place, or a guess of them. It need not mind travel, stops or offsets, and may give numbers that are not finite where it has no answer; what it
    /// gives is made exact.
    /// </param>
    /// <exception cref="InputException">The function gives no finite place somewhere in the travel, answers differently to the same question, or the axes have too many stops together.</exception>
    public NumericalCarriage(BackSpec spec, IReadOnlyList<AxisNeed> axes, Func<IReadOnlyList<double>, CarriagePose> place, Func<CarriagePose, IReadOnlyList<double>>? inverse = null)
    {
        ArgumentNullException.ThrowIfNull(spec);
        ArgumentNullException.ThrowIfNull(axes);
        ArgumentNullException.ThrowIfNull(place);
        _needs = axes;
        _stops = [.. spec.Axes.Select(AxisStops.Of)];
        var function = new PlaceFunction(place, axes);
        _raster = new(function, _stops);
        var shape = new CarriageShape(function, _stops, _raster);
        Tolerance = shape.Tolerance(spec.Axes);
        shape.DemandAngularTolerance(spec);
        _paths = [.. _stops.Select((_, axis) => shape.PathPerUnit(axis))];
        _rotations = [.. shape.Rotations()];
        _inversion = new(function, _stops, _raster, inverse, (Tolerance.X ?? 0) + (Tolerance.Y ?? 0), spec.AngularTolerance);
    }

    /// <inheritdoc/>
    public override CarriageTolerance Tolerance { get; }

    /// <inheritdoc/>
    public override IEnumerable<(double From, double To)> Rotations => _rotations;

    /// <inheritdoc/>
    public override CarriagePose Place(IReadOnlyList<double> positions) => _raster.Function.At([.. positions]);

    /// <inheritdoc/>
    public override IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation) => _inversion.Nearest(target, offset, rotation);

    /// <inheritdoc/>
    public override IEnumerable<string> Misses(PlanePoint target, PlanePoint offset) => _inversion.Misses(target, offset, _needs);

    /// <inheritdoc/>
    public override IEnumerable<PlanePoint> Extremes(PlanePoint offset) => _inversion.Extremes(offset);

    /// <summary>Path of the sensor for one unit of an axis, mm: the mean over its travel with the other axes in the middle of theirs.</summary>
    /// <param name="axis">The axis, counted from 0.</param>
    public override double PathPerUnit(int axis) => _paths[axis];
}
