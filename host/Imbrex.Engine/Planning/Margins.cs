using Imbrex.Engine.Documents;
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

    /// <summary>The margins that a kit states for its back: its worst axis and its angle.</summary>
    public static Margins Of(BackPart back)
    {
        ArgumentNullException.ThrowIfNull(back);
        double position = back.Axes is { Count: > 0 } axes ? axes.Max(axis => axis.ToleranceMm ?? Unknown.Position) : Unknown.Position;
        return new(position, back.AngularToleranceDeg ?? Unknown.Angle);
    }

    /// <summary>What is certain of a sensor's rectangle, body upright.</summary>
    public PlaneSize Usable(PlaneSize sensor) =>
        new LayoutRequest { Sensor = sensor, Format = sensor, Overlap = 0, PositionTolerance = Position, AngularTolerance = Angle }.UsableTile(Turn.None);
}
