using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Layouts;

/// <summary>Columns and rows at even steps: fewest frames for most formats.</summary>
public sealed class RegularGrid : IMosaicLayout
{
    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "regular-grid",
        "Columns and rows at even steps, counts and steps computed where none are given",
        Counts.Columns, Counts.Rows, Counts.StepX, Counts.StepY, BodyTurn.Parameter);

    /// <inheritdoc/>
    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return BodyTurn.Arrange(request, turn =>
        {
            PlaneSize tile = request.UsableTile(turn);
            Line across = Counts.Across(request, request.Format.Width, tile.Width);
            Line down = Counts.Down(request, request.Format.Height, tile.Height);
            Counts.RequireFew((long)across.Count * down.Count);
            return [.. from y in down.Positions from x in across.Positions select new Tile(new(new(x, y), turn))];
        });
    }
}
