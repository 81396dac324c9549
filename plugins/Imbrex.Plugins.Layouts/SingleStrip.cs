using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>One row or one column of tiles: what a back with a single slide shoots without being turned over.</summary>
public sealed class SingleStrip : IMosaicLayout
{
    private static readonly ParameterDefinition Direction = ParameterDefinition.Choice("direction", "Which way the strip runs", "across", "down");
    private static readonly ParameterDefinition Count = ParameterDefinition.Count("count", "Number of tiles; 0 has them counted", 0, 0, 1000);
    private static readonly ParameterDefinition Step = ParameterDefinition.Number(
        "step", "Distance between tiles; 0 spreads them so that the outer tiles reach the format's edge", 0, Unit.Millimetre, 0, 1000);
    private static readonly ParameterDefinition Offset = ParameterDefinition.Number(
        "offset", "How far the strip lies beside the middle, to the right or down", 0, Unit.Millimetre, -500, 500);

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "single-strip", "One row or column of tiles", Direction, Count, Step, Offset, BodyTurn.Parameter);

    /// <inheritdoc/>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        bool across = request.Parameters.Word(Direction.Name) == "across";
        double offset = request.Parameters[Offset.Name];
        return BodyTurn.Arrange(request, turn =>
        {
            PlaneSize tile = request.UsableTile(turn);
            (double length, double along, double breadth, double side) = across
                ? (request.Format.Width, tile.Width, request.Format.Height, tile.Height)
                : (request.Format.Height, tile.Height, request.Format.Width, tile.Width);
            Line line = Line.Fill(length, along, request.Overlap, request.Parameters.Whole(Count.Name), request.Parameters[Step.Name], across ? "across" : "down");
            double held = side - 2 * Math.Abs(offset);
            if (held < breadth - 1e-9)
                throw Refused.StripTooNarrow(breadth, held, across ? "down" : "across");
            return [.. line.Positions.Select(position => new Tile(new(across ? new(position, offset) : new(offset, position), turn)))];
        });
    }
}
