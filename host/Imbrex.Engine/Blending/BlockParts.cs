using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Divides a block into the rectangle round all seams, where frames have to be joined, and up to four plain rectangles beside it, each of
/// which shows one frame only: no seam is near enough to influence it.
/// </summary>
internal sealed class BlockParts
{
    /// <summary>Blocks are divided along a grid of this side; a multiple of 2^levels.</summary>
    public const int Cell = 1 << CanvasBlender.MostLevels;

    private const int Mixed = -1;

    private readonly SeamMap _seams;
    private readonly int _near;
    private readonly byte[] _labels;
    private readonly float[] _weights;
    private readonly int[] _cells;
    private CanvasArea _area;
    private int _columns, _rows;

    /// <summary>Prepares a worker.</summary>
    /// <param name="seams">Which frame shows where.</param>
    /// <param name="reach">How far a seam's influence reaches, px.</param>
    /// <param name="side">Longest side of a block.</param>
    public BlockParts(SeamMap seams, int reach, int side)
    {
        _seams = seams;
        _near = (reach + Cell - 1) / Cell;
        int cells = (side + Cell - 1) / Cell + 2 * _near;
        _labels = new byte[cells * cells * Cell * Cell];
        _weights = new float[_labels.Length];
        _cells = new int[cells * cells];
    }

    /// <summary>The rectangle to be joined, in whole cells; may be empty, and may leave the block to the right and below.</summary>
    public CanvasArea Joined { get; private set; }

    /// <summary>The plain rectangles, with the frame that each shows or <see cref="SeamMap.None"/>.</summary>
    public List<(CanvasArea Area, byte Label)> Plain { get; } = [];

    /// <summary>Labels of a row of the block or its surroundings.</summary>
    public ReadOnlySpan<byte> Labels(int x, int y, int width) => _labels.AsSpan((y - _area.Y) * _area.Width + x - _area.X, width);

    /// <summary>Divides a block.</summary>
    public void Divide(CanvasArea block)
    {
        _columns = (block.Width + Cell - 1) / Cell;
        _rows = (block.Height + Cell - 1) / Cell;
        _area = new CanvasArea(block.X, block.Y, _columns * Cell, _rows * Cell).Grown(_near * Cell);
        _seams.Fill(_area, _labels, _weights);
        FindUniform();
        (int left, int top, int right, int bottom) = (_columns, _rows, -1, -1);
        for (int row = 0; row < _rows; row++)
        {
            for (int column = 0; column < _columns; column++)
            {
                if (!IsPlain(column, row))
                    (left, top, right, bottom) = (Math.Min(left, column), Math.Min(top, row), Math.Max(right, column), Math.Max(bottom, row));
            }
        }
        Plain.Clear();
        if (right < 0)
            (left, top, right, bottom) = (0, 0, -1, -1);
        Joined = new(block.X + left * Cell, block.Y + top * Cell, (right + 1 - left) * Cell, (bottom + 1 - top) * Cell);
        int x0 = Joined.X, y0 = Joined.Y, x1 = Math.Min(Joined.Right, block.Right), y1 = Math.Min(Joined.Bottom, block.Bottom);
        AddPlain(block, block.X, block.Y, block.Right, y0);
        AddPlain(block, block.X, y0, x0, y1);
        AddPlain(block, x1, y0, block.Right, y1);
        AddPlain(block, block.X, y1, block.Right, block.Bottom);
    }

    // Neighbouring plain cells see each other's surroundings: a rectangle of them shows one frame.
    private void AddPlain(CanvasArea block, int left, int top, int right, int bottom)
    {
        if (right > left && bottom > top)
            Plain.Add((new(left, top, right - left, bottom - top), (byte)_cells[At((left - block.X) / Cell, (top - block.Y) / Cell)]));
    }

    private int At(int column, int row) => (row + _near) * (_columns + 2 * _near) + column + _near;

    private void FindUniform()
    {
        int across = _columns + 2 * _near, down = _rows + 2 * _near;
        for (int row = 0; row < down; row++)
        {
            for (int column = 0; column < across; column++)
            {
                int first = row * Cell * _area.Width + column * Cell;
                byte label = _labels[first];
                bool uniform = true;
                for (int line = 0; line < Cell && uniform; line++)
                    uniform = !_labels.AsSpan(first + line * _area.Width, Cell).ContainsAnyExcept(label);
                _cells[row * across + column] = uniform ? label : Mixed;
            }
        }
    }

    private bool IsPlain(int column, int row)
    {
        int label = _cells[At(column, row)];
        for (int y = row - _near; y <= row + _near; y++)
        {
            if (label == Mixed || _cells.AsSpan(At(column - _near, y), 2 * _near + 1).ContainsAnyExcept(label))
                return false;
        }
        return true;
    }
}
