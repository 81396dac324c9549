using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters;

/// <summary>
/// What carries the body on a back: everything between the back's seat and the body's own turn, in which backs differ. <see cref="SeatedBack"/> makes a whole back of it.
/// Places count from the upright seat's centre, mm. Implementations are immutable and thread-safe.
/// </summary>
/// <remarks>
/// Where only the forward kinematics are known, <see cref="NumericalCarriage"/> finds everything else. Derive from this class where the inverse is known in closed form. An offset is
/// how far the sensor's centre lies from the carriage's own point at the body's turn; it goes and turns with the carriage.
/// </remarks>
public abstract class Carriage
{
    /// <summary>Forward kinematics: where the carriage stands. Defined between stops too.</summary>
    /// <param name="positions">One position for each axis, mm or degrees.</param>
    public abstract CarriagePose Place(IReadOnlyList<double> positions);

    /// <summary>Inverse kinematics: the legal positions that bring the sensor's centre nearest to a target.</summary>
    /// <param name="target">Where the centre should be.</param>
    /// <param name="offset">The offset of the body's turn.</param>
    /// <param name="rotation">How far the carriage should be turned, degrees clockwise, where the target leaves it open.</param>
    /// <returns>One position for each axis, within travel and stops, to 1e-9 mm at the sensor.</returns>
    public abstract IReadOnlyList<double> Nearest(PlanePoint target, PlanePoint offset, double rotation);

    /// <summary>Why the centre does not come to a target, in words that continue a sentence: <c>x would have to be 70 mm and ends at 60 mm</c>. Empty where it does.</summary>
    /// <param name="target">Where the centre should be.</param>
    /// <param name="offset">The offset of the body's turn.</param>
    public abstract IEnumerable<string> Misses(PlanePoint target, PlanePoint offset);

    /// <summary>Places of the centre whose upright box holds all that can be reached.</summary>
    /// <param name="offset">The offset of the body's turn.</param>
    public abstract IEnumerable<PlanePoint> Extremes(PlanePoint offset);

    /// <summary>How far the axes may miss.</summary>
    public abstract CarriageTolerance Tolerance { get; }

    /// <summary>From where to where the carriage itself turns, degrees clockwise; a stop is a range without width.</summary>
    public virtual IEnumerable<(double From, double To)> Rotations => [(0, 0)];

    /// <summary>Path of the sensor for one unit of an axis, mm.</summary>
    /// <param name="axis">The axis, counted from 0.</param>
    public virtual double PathPerUnit(int axis) => 1;
}

/// <summary>How far the axes of a carriage may miss. Where both directions come of one pivot, the worst is given for both.</summary>
/// <param name="X">Along x, mm; null where no axis moves the sensor along x.</param>
/// <param name="Y">Along y, mm; null where none moves it along y.</param>
public readonly record struct CarriageTolerance(double? X, double? Y);
