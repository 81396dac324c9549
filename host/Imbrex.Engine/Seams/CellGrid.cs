using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>The canvas in square cells of whole pixels, on which seams are looked for; the last column and row may leave the canvas.</summary>
/// <param name="Side">Pixels along a cell's side.</param>
/// <param name="Columns">Cells across.</param>
/// <param name="Rows">Cells down.</param>
internal readonly record struct CellGrid(int Side, int Columns, int Rows)
{
    /// <summary>Pixels along the side of the smallest cells.</summary>
    public const int LeastSide = 4;

    public int Count => Columns * Rows;

    public static CellGrid Over(int width, int height, int side) => new(side, (width + side - 1) / side, (height + side - 1) / side);

    public CanvasArea Area(int column, int row) => new(column * Side, row * Side, Side, Side);
}
