using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>
/// Level tiles in the middle and upright ones at both sides: an upright tile is higher, so that fewer are needed where the format ends, and
/// it asks less travel of the slide.
/// </summary>
public sealed class MixedTurns : IMosaicLayout
{
    private static readonly ParameterDefinition SideRows = ParameterDefinition.Count("side-rows", "Upright tiles above each other at each side; 0 has them counted", 0, 0, 1000);
    private static readonly ParameterDefinition SideStep = ParameterDefinition.Number("side-step", "Distance between upright tiles of one side; 0 spreads them", 0, Unit.Millimetre, 0, 1000);
    private static readonly ParameterDefinition Side = ParameterDefinition.Number(
        "side", "Distance of the upright tiles from the middle; 0 puts their outer edge on the format's edge", 0, Unit.Millimetre, 0, 1000);

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "mixed-turns", "Level tiles in the middle and upright ones at both sides",
        Counts.Columns, Counts.Rows, Counts.StepX, Counts.StepY, SideRows, SideStep, Side);

    /// <inheritdoc/>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        Turn level = BodyTurn.Level(request.Limits) ?? throw Refused.TurnNotOffered([Turn.None, Turn.Half], request.Limits.Turns);
        Turn upright = BodyTurn.Upright(request.Limits) ?? throw Refused.TurnNotOffered([Turn.Quarter, Turn.ThreeQuarters], request.Limits.Turns);
        PlaneSize middleTile = request.UsableTile(level);
        PlaneSize sideTile = request.UsableTile(upright);
        if (sideTile.ShortSide <= 0)
            throw Refused.NothingUsable(sideTile.ShortSide);
        double side = request.Parameters[Side.Name] is > 0 and var given ? given : Math.Max(0, (request.Format.Width - sideTile.Width) / 2);

        // The level tiles fill what the upright ones leave, and the overlap on top at each side.
        double middle = Math.Max(0, 2 * (side - sideTile.Width / 2 + request.Overlap));
        Line across = Counts.Across(request, middle, middleTile.Width);
        Line down = Counts.Down(request, request.Format.Height, middleTile.Height);
        Line sides = Line.Fill(request.Format.Height, sideTile.Height, request.Overlap, request.Parameters.Whole(SideRows.Name), request.Parameters[SideStep.Name], "down");
        Counts.RequireFew((long)across.Count * down.Count + 2L * sides.Count);
        return Limits.Checked(
        [
            .. from y in down.Positions from x in across.Positions select new Tile(new(new(x, y), level)),
            .. from x in new[] { -side, side } from y in sides.Positions select new Tile(new(new(x, y), upright)),
        ], request.Limits);
    }
}
