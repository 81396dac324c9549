using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Layouts;

/// <summary>
/// Where a back can put the sensor's centre, as far as a layout needs to know: an upright rectangle on the image plane, the camera
/// turns, and whether the back may be turned over. Exact reach is proven later through the back's own kinematics.
/// </summary>
/// <param name="Left">Smallest x of the sensor's centre, mm.</param>
/// <param name="Top">Smallest y, mm.</param>
/// <param name="Right">Largest x, mm.</param>
/// <param name="Bottom">Largest y, mm.</param>
/// <param name="Turns">Final turns of the body that the back can bring about.</param>
public sealed record BackLimits(double Left, double Top, double Right, double Bottom, IReadOnlyList<Turn> Turns)
{
    /// <summary>A back that goes anywhere at any turn.</summary>
    public static BackLimits Unlimited { get; } =
        new(double.NegativeInfinity, double.NegativeInfinity, double.PositiveInfinity, double.PositiveInfinity, Geometry.Turns.All);
}
