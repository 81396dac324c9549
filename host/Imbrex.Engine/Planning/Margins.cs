using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>What may go wrong when the back is set: the same margins for layouts and for the check.</summary>
/// <param name="Position">How far the back may miss a position.</param>
/// <param name="Angle">How far it may miss an angle, degrees.</param>
public readonly record struct Margins(PlaneTolerance Position, double Angle)
{
    /// <summary>A back that never misses.</summary>
    public static Margins None => default;

    /// <summary>What is assumed where nothing is known of the back: 0.5 mm and 0.5 degrees.</summary>
    public static Margins Unknown => new(0.5, 0.5);

    /// <summary>
    /// The margins that a kit states for its back, where its geometry is not at hand: as the built-in ones have it, the first of two slides goes along x and the second
    /// along y. A geometry may say otherwise; the worst of both is right for any.
    /// </summary>
    public static Margins Of(BackPart back)
    {
        ArgumentNullException.ThrowIfNull(back);
        double[] axes = back.Axes is { Count: > 0 } known ? [.. known.Select(axis => axis.ToleranceMm ?? Unknown.Position.Worst)] : [Unknown.Position.Worst];
        double? seat = back.Seats?.Max(part => part.ToleranceMm);
        bool slides = axes.Length <= 2 && back.Axes?.Any(axis => axis.IsPivot) is not true;
        double across = (slides ? axes[0] : axes.Max()) + (seat ?? 0);
        double down = !slides ? across : axes.Length == 2 ? axes[1] + (seat ?? 0) : seat ?? axes[0];
        return new(new(across, down), back.AngularToleranceDeg ?? Unknown.Angle);
    }

    /// <summary>What is certain of a sensor's rectangle at a turn of the body, along x and y.</summary>
    public PlaneSize Usable(PlaneSize sensor, Turn turn = Turn.None) =>
        new LayoutRequest { Sensor = sensor, Format = sensor, Overlap = 0, PositionTolerance = Position, AngularTolerance = Angle }.UsableTile(turn);

    /// <summary>The same margins along the sides of a tile that stands aslant.</summary>
    public Margins Aslant(double degrees) => this with { Position = new(Position.Along(degrees), Position.Along(degrees + 90)) };

    /// <summary>The position's part in words, without the unit where it is the same both ways.</summary>
    public static string Text(PlaneTolerance position, Func<double, string> number) => position.X == position.Y
        ? $"{number(position.X)} mm"
        : $"{number(position.X)} mm across, {number(position.Y)} mm down";
}
