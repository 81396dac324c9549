using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// What to call the axes of a back: as the kit does, or by how they move the sensor: <c>x</c>, <c>y</c>, <c>arm</c>; an axis that does something else, or what another does too, by its number.
/// </summary>
internal static class AxisNames
{
    // Movements below this are rounding, mm or degrees.
    private const double Rounding = 1e-6;

    /// <summary>The names in the order of the axes.</summary>
    /// <param name="back">The back.</param>
    /// <param name="at">Any setting that the back has.</param>
    public static IReadOnlyList<string> Of(IBack back, Setting at)
    {
        string?[] names = [.. Enumerable.Range(0, back.Axes.Count).Select(axis => back.Axes[axis].Name ?? Name(back, at, axis))];
        return [.. names.Select((name, axis) => name is not null && (back.Axes[axis].Name is not null || names.Count(other => other == name) == 1) ? name : FormattableString.Invariant($"axis {axis + 1}"))];
    }

    private static string? Name(IBack back, Setting at, int axis)
    {
        if (back.Axes[axis].IsPivot)
            return "arm";
        SensorPose Moved(double position) => back.Pose(at with { Positions = [.. at.Positions.Select((known, i) => i == axis ? position : known)] });
        PlanePoint way = Moved(back.Axes[axis].Maximum).Centre - Moved(back.Axes[axis].Minimum).Centre;
        return (Math.Abs(way.X) > Rounding, Math.Abs(way.Y) > Rounding) switch
        {
            (true, false) => "x",
            (false, true) => "y",
            _ => null,
        };
    }
}
