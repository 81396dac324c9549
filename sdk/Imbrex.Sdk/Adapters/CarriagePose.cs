using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters;

/// <summary>Where a carriage stands: the place of its own point, which is the sensor's centre but for a turn's offset, and how far it is turned.</summary>
/// <param name="X">Millimetres to the photographer's right of the upright seat's centre.</param>
/// <param name="Y">Millimetres below it.</param>
/// <param name="Rotation">How far the carriage itself is turned, degrees clockwise seen from behind. It may jump by whole turns, by nothing else.</param>
public readonly record struct CarriagePose(double X, double Y, double Rotation = 0)
{
    /// <summary>The place as a point.</summary>
    public PlanePoint Centre => new(X, Y);

    /// <summary>Where a point of the carriage lies.</summary>
    /// <param name="offset">The point, mm from the carriage's own with the carriage unturned.</param>
    public PlanePoint Carry(PlanePoint offset) => Centre + offset.Rotated(Rotation);
}
