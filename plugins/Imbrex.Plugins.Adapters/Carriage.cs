using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Adapters;

/// <summary>
/// What carries the body on a back: everything between the back's seat and the body's own turn. Places count from the upright seat's centre;
/// the offset is how far the sensor's centre lies from the carriage's own point at the body's turn, and moves with the carriage.
/// </summary>
internal abstract class Carriage
{
    /// <summary>Where the sensor's centre stands, and how far the carriage itself is turned, degrees clockwise.</summary>
    public abstract (PlanePoint Centre, double Rotation) Place(IReadOnlyList<double> positions, PlanePoint offset);

    /// <summary>The legal positions that bring the sensor's centre nearest to a target.</summary>
    /// <param name="target">Where the centre should be.</param>
    /// <param name="offset">The offset of the body's turn.</param>
    /// <param name="rotation">How far the carriage should be turned, where the target leaves it open.</param>
    public abstract double[] Nearest(PlanePoint target, PlanePoint offset, double rotation);

    /// <summary>Why a target is not reached, in words.</summary>
    public abstract IEnumerable<string> Misses(PlanePoint target, PlanePoint offset);

    /// <summary>Places whose upright box holds all that can be reached.</summary>
    public abstract IEnumerable<PlanePoint> Extremes(PlanePoint offset);

    /// <summary>From where to where the carriage itself turns, degrees clockwise.</summary>
    public virtual IEnumerable<(double From, double To)> Rotations => [(0, 0)];

    /// <summary>Path of the sensor for one unit of an axis, mm.</summary>
    public virtual double PathPerUnit(int axis) => 1;
}
