using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>The parameters for counts and steps that layouts share.</summary>
internal static class Counts
{
    private const int Most = 1000;
    private const double Longest = 1000;

    public static ParameterDefinition Columns { get; } = ParameterDefinition.Count("columns", "Tiles side by side; 0 has them counted", 0, 0, Most);

    public static ParameterDefinition Rows { get; } = ParameterDefinition.Count("rows", "Tiles above each other; 0 has them counted", 0, 0, Most);

    public static ParameterDefinition StepX { get; } = ParameterDefinition.Number(
        "step-x", "Distance between columns; 0 spreads them so that the outer tiles reach the format's edge", 0, Unit.Millimetre, 0, Longest);

    public static ParameterDefinition StepY { get; } = ParameterDefinition.Number(
        "step-y", "Distance between rows; 0 spreads them so that the outer tiles reach the format's edge", 0, Unit.Millimetre, 0, Longest);

    /// <summary>The columns over a width, as the parameters say.</summary>
    public static Line Across(LayoutRequest request, double width, double tile) =>
        Line.Fill(width, tile, request.Overlap, request.Parameters.Whole(Columns.Name), request.Parameters[StepX.Name], "across");

    /// <summary>The rows over a height, as the parameters say.</summary>
    public static Line Down(LayoutRequest request, double height, double tile) =>
        Line.Fill(height, tile, request.Overlap, request.Parameters.Whole(Rows.Name), request.Parameters[StepY.Name], "down");

    /// <summary>Refuses layouts that nobody shoots.</summary>
    public static void RequireFew(long tiles)
    {
        if (tiles > 10_000)
            throw Refused.TooMany(tiles, "in all");
    }
}
