using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>
/// Rows laid like bricks, every other one moved by half a step and one tile longer: seams then meet three and three instead of four and
/// four, and each tile hangs on six neighbours.
/// </summary>
public sealed class StaggeredRows : IMosaicLayout
{
    private static readonly ParameterDefinition First = ParameterDefinition.Choice("first", "Whether the top row is a short or a long one", "short", "long");

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "staggered-rows", "Rows laid like bricks, every other one half a step aside and one tile longer",
        Counts.Columns, Counts.Rows, Counts.StepX, Counts.StepY, First, BodyTurn.Parameter);

    /// <inheritdoc/>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        int firstLong = request.Parameters.Word(First.Name) == "long" ? 1 : 0;
        return BodyTurn.Arrange(request, turn =>
        {
            PlaneSize tile = request.UsableTile(turn);
            Line across = Counts.Across(request, request.Format.Width, tile.Width);
            Line down = Counts.Down(request, request.Format.Height, tile.Height);
            Counts.RequireFew((across.Count + 1L) * down.Count);

            // A single tile has no step: its longer neighbours part it in the middle and share just the overlap, or all they can.
            double step = across.Count > 1 ? across.Step : Math.Max(0, Math.Min(tile.Width - request.Overlap, tile.Width));
            return [.. down.Positions.SelectMany((y, row) =>
                EvenSpread.Centred(across.Count + ((row + firstLong) & 1), step).Select(x => new Tile(new(new(x, y), turn))))];
        });
    }
}
