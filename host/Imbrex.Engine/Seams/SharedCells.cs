namespace Imbrex.Engine.Seams;

/// <summary>The cells that lie wholly in both frames of a pair, inside a rectangle of cells.</summary>
internal sealed class SharedCells
{
    private SharedCells(int a, int b, CellPicture inA, CellPicture inB) => (A, B, InA, InB) = (a, b, inA, inB);

    /// <summary>Index of the first frame.</summary>
    public int A { get; }

    /// <summary>Index of the second frame.</summary>
    public int B { get; }

    public CellPicture InA { get; }

    public CellPicture InB { get; }

    public int Left { get; private init; }

    public int Top { get; private init; }

    public int Width { get; private init; }

    public int Rows { get; private init; }

    /// <summary>How many cells are shared.</summary>
    public int Count { get; private init; }

    /// <summary>What two frames share, or null where that is nothing.</summary>
    public static SharedCells? Between(int a, int b, IReadOnlyList<CellPicture> pictures)
    {
        FrameCells inA = pictures[a].Cells, inB = pictures[b].Cells;
        int top = int.MaxValue, bottom = -1, left = int.MaxValue, right = -1, count = 0;
        for (int row = Math.Max(inA.FirstRow, inB.FirstRow); row <= Math.Min(inA.LastRow, inB.LastRow); row++)
        {
            CellSpan span = inA.Whole(row).And(inB.Whole(row));
            if (span.IsEmpty)
                continue;
            (top, bottom) = (Math.Min(top, row), row);
            (left, right) = (Math.Min(left, span.First), Math.Max(right, span.Last));
            count += span.Length;
        }
        return count == 0 ? null : new(a, b, pictures[a], pictures[b]) { Left = left, Top = top, Width = right - left + 1, Rows = bottom - top + 1, Count = count };
    }

    /// <summary>All pairs that share something, in rising order of A, then B.</summary>
    public static IReadOnlyList<SharedCells> All(IReadOnlyList<CellPicture> pictures) =>
        [.. from a in Enumerable.Range(0, pictures.Count)
            from b in Enumerable.Range(a + 1, pictures.Count - a - 1)
            let shared = Between(a, b, pictures)
            where shared is not null
            select shared];

    /// <summary>The shared cells of a row.</summary>
    public CellSpan Span(int row) => row < Top || row >= Top + Rows ? CellSpan.Empty : InA.Cells.Whole(row).And(InB.Cells.Whole(row));

    public bool Holds(int column, int row) => Span(row).Holds(column);

    /// <summary>A plane of the rectangle's size.</summary>
    public CellPlane NewPlane() => new(Width, Rows);

    /// <summary>Place of a cell in an array of the rectangle's size.</summary>
    public int At(int column, int row) => (row - Top) * Width + column - Left;

    /// <summary>A channel's codes of a cell in both frames.</summary>
    public (int A, int B) Codes(int band, int column, int row) => (InA.Codes[band][InA.At(column, row)], InB.Codes[band][InB.At(column, row)]);
}
