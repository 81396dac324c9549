using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Which frame shows in every cell of the canvas, and between the cells: there the frame wins that the four nearest cells, weighted by
/// how near they are, mostly belong to, so that a seam has no steps of a cell's size. What a pixel shows depends on its place alone.
/// </summary>
internal sealed class CellLabels
{
    /// <summary>Cells along the side of a block whose cells are looked at together.</summary>
    private const int Block = 8;

    private readonly int _blocksAcross;

    // A block's label, and where its cells begin among those of mixed blocks, or -1 where all are of that label: most blocks are far from any seam.
    private readonly byte[] _label;
    private readonly int[] _at;
    private readonly byte[] _mixed;

    /// <summary>Keeps labels.</summary>
    /// <param name="grid">The cells.</param>
    /// <param name="labels">One for each cell, row after row.</param>
    public CellLabels(CellGrid grid, byte[] labels)
    {
        Grid = grid;
        _blocksAcross = (grid.Columns + Block - 1) / Block;
        _label = new byte[_blocksAcross * ((grid.Rows + Block - 1) / Block)];
        _at = new int[_label.Length];
        var mixed = new List<byte>();
        for (int block = 0; block < _label.Length; block++)
        {
            int left = block % _blocksAcross * Block, top = block / _blocksAcross * Block, width = Math.Min(Block, grid.Columns - left), height = Math.Min(Block, grid.Rows - top);
            _label[block] = labels[top * grid.Columns + left];
            _at[block] = -1;
            for (int row = 0; row < height && _at[block] < 0; row++)
            {
                if (labels.AsSpan((top + row) * grid.Columns + left, width).ContainsAnyExcept(_label[block]))
                    _at[block] = mixed.Count;
            }
            // Cells beyond the canvas are never asked for.
            for (int cell = 0; cell < Block * Block && _at[block] >= 0; cell++)
                mixed.Add(labels[(top + Math.Min(cell / Block, height - 1)) * grid.Columns + left + Math.Min(cell % Block, width - 1)]);
        }
        _mixed = [.. mixed];
    }

    public CellGrid Grid { get; }

    public byte this[int column, int row]
    {
        get
        {
            int block = row / Block * _blocksAcross + column / Block, at = _at[block];
            return at < 0 ? _label[block] : _mixed[at + row % Block * Block + column % Block];
        }
    }

    /// <summary>The one label of all pixels of an area, or null where there are several.</summary>
    public byte? Whole(CanvasArea area)
    {
        int left = Clamped(Before(area.X), Grid.Columns), right = Clamped(Before(area.Right - 1) + 1, Grid.Columns);
        int top = Clamped(Before(area.Y), Grid.Rows), bottom = Clamped(Before(area.Bottom - 1) + 1, Grid.Rows);
        byte label = this[left, top];
        for (int y = top / Block; y <= bottom / Block; y++)
        {
            for (int x = left / Block; x <= right / Block; x++)
            {
                int block = y * _blocksAcross + x;
                bool is1 = _at[block] >= 0 ? IsAll(label, x, y, left, top, right, bottom) : _label[block] == label;
                if (!is1)
                    return null;
            }
        }
        return label;
    }

    /// <summary>Fills in the labels of part of a row of pixels.</summary>
    public void Fill(int x, int y, Span<byte> labels)
    {
        int row = Before(y), side2 = 2 * Grid.Side;
        // Twice the distance from the upper cells' middles, in px: whole and odd, or whole and even, as the side is.
        int down = 2 * y + 1 - Grid.Side - row * side2;
        int upper = Clamped(row, Grid.Rows), lower = Clamped(row + 1, Grid.Rows);
        for (int done = 0; done < labels.Length;)
        {
            int column = Before(x + done);
            // The first pixel at or beyond the next cell's middle begins the next part.
            int end = Math.Min(labels.Length, FirstBeyond(column + 1) - x);
            int left = Clamped(column, Grid.Columns), right = Clamped(column + 1, Grid.Columns);
            var corners = new Corners(this[left, upper], this[right, upper], this[left, lower], this[right, lower]);
            Span<byte> part = labels[done..end];
            if (corners.IsOne)
            {
                part.Fill(corners.UpperLeft);
            }
            else
            {
                for (int i = 0; i < part.Length; i++)
                    part[i] = corners.At(2 * (x + done + i) + 1 - Grid.Side - column * side2, down, side2);
            }
            done = end;
        }
    }

    private bool IsAll(byte label, int blockX, int blockY, int left, int top, int right, int bottom)
    {
        (int first, int last) = (Math.Max(left, blockX * Block), Math.Min(right, blockX * Block + Block - 1));
        for (int row = Math.Max(top, blockY * Block); row <= Math.Min(bottom, blockY * Block + Block - 1); row++)
        {
            for (int column = first; column <= last; column++)
            {
                if (this[column, row] != label)
                    return false;
            }
        }
        return true;
    }

    // The cell whose middle lies at or before a pixel.
    private int Before(int pixel) => (int)Math.Floor((2 * pixel + 1 - Grid.Side) / (2.0 * Grid.Side));

    private int FirstBeyond(int cell) => (int)Math.Ceiling(cell * Grid.Side + (Grid.Side - 1) / 2.0);

    private static int Clamped(int cell, int count) => Math.Clamp(cell, 0, count - 1);

    /// <summary>The labels of four neighbouring cells.</summary>
    private readonly record struct Corners(byte UpperLeft, byte UpperRight, byte LowerLeft, byte LowerRight)
    {
        public bool IsOne => UpperLeft == UpperRight && UpperLeft == LowerLeft && UpperLeft == LowerRight;

        /// <summary>The label with most weight; of equals the first in reading order.</summary>
        public byte At(int across, int down, int side)
        {
            int ul = (side - across) * (side - down), ur = across * (side - down), ll = (side - across) * down, lr = across * down;
            int first = ul + (UpperRight == UpperLeft ? ur : 0) + (LowerLeft == UpperLeft ? ll : 0) + (LowerRight == UpperLeft ? lr : 0);
            int second = ur + (UpperLeft == UpperRight ? ul : 0) + (LowerLeft == UpperRight ? ll : 0) + (LowerRight == UpperRight ? lr : 0);
            int third = ll + (UpperLeft == LowerLeft ? ul : 0) + (UpperRight == LowerLeft ? ur : 0) + (LowerRight == LowerLeft ? lr : 0);
            int fourth = lr + (UpperLeft == LowerRight ? ul : 0) + (UpperRight == LowerRight ? ur : 0) + (LowerLeft == LowerRight ? ll : 0);
            (byte best, int most) = (UpperLeft, first);
            if (second > most)
                (best, most) = (UpperRight, second);
            if (third > most)
                (best, most) = (LowerLeft, third);
            return fourth > most ? LowerRight : best;
        }
    }
}
