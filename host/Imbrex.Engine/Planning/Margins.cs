using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>What may go wrong when the back is set: the same margins for layouts and for the check.</summary>
/// <param name="Position">How far the back may miss a position, mm.</param>
/// <param name="Angle">How far it may miss an angle, degrees.</param>
public readonly record struct Margins(double Position, double Angle)
{
    /// <summary>A back that never misses.</summary>
    public static Margins None => default;

    /// <summary>What is assumed where nothing is known of the back: 0.5 mm and 0.5 degrees.</summary>
    public static Margins Unknown => new(0.5, 0.5);

    /// <summary>What is certain of a sensor's rectangle, body upright.</summary>
    public PlaneSize Usable(PlaneSize sensor) =>
        new LayoutRequest { Sensor = sensor, Format = sensor, Overlap = 0, PositionTolerance = Position, AngularTolerance = Angle }.UsableTile(Turn.None);
}
