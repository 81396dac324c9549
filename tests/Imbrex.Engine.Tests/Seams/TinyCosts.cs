using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Tests.Seams;

/// <summary>Costs drawn at random on a grid small enough to try every labelling.</summary>
internal sealed class TinyCosts : ISeamCosts
{
    private readonly int[,,] _show;
    private readonly int[,,] _difference;

    /// <summary>Every frame may show everywhere; two frames' difference at a cell obeys the triangle's inequality.</summary>
    public TinyCosts(Random random, int labels, int columns, int rows)
    {
        (Labels, Columns, Rows) = (labels, columns, rows);
        (_show, _difference) = (new int[labels, columns, rows], new int[labels, columns, rows]);
        for (int label = 0; label < labels; label++)
        {
            for (int cell = 0; cell < columns * rows; cell++)
                (_show[label, cell % columns, cell / columns], _difference[label, cell % columns, cell / columns]) = (random.Next(30), random.Next(20));
        }
    }

    public int Labels { get; }

    public int Columns { get; }

    public int Rows { get; }

    public (int First, int Last) RowsOf(int label) => (0, Rows - 1);

    public CellSpan Allowed(int label, int row) => new(0, Columns - 1);

    public int Show(int label, int column, int row) => _show[label, column, row];

    // Kwatra 2003: |A(s) - B(s)| + |A(t) - B(t)|, each picture one grey value a cell.
    public int Cut(int here, int there, int column, int row, int nextColumn, int nextRow) =>
        Math.Abs(_difference[here, column, row] - _difference[there, column, row]) + Math.Abs(_difference[here, nextColumn, nextRow] - _difference[there, nextColumn, nextRow]);

    /// <summary>The least cost over all labellings.</summary>
    public long Least()
    {
        var labels = new byte[Columns * Rows];
        long least = long.MaxValue;
        while (true)
        {
            least = Math.Min(least, SeamCut.Cost(this, labels));
            int i = 0;
            while (i < labels.Length && ++labels[i] == Labels)
                labels[i++] = 0;
            if (i == labels.Length)
                return least;
        }
    }
}
