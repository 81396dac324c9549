namespace Imbrex.Engine.Seams;

/// <summary>The cells that a frame shows, row by row: those that lie wholly in it and have enough light, and those that it shows at least a part of.</summary>
internal sealed class FrameCells
{
    private readonly CellSpan[] _whole, _touched;

    public FrameCells(FrameOutline outline, CellGrid grid)
    {
        Grid = grid;
        FirstRow = Math.Max(0, (int)Math.Floor((outline.Top - FrameOutline.Tolerance) / grid.Side));
        int last = Math.Min(grid.Rows - 1, (int)Math.Floor((outline.Bottom + FrameOutline.Tolerance) / grid.Side));
        int rows = Math.Max(0, last - FirstRow + 1);
        (_whole, _touched) = (new CellSpan[rows], new CellSpan[rows]);
        for (int i = 0; i < rows; i++)
        {
            double top = (FirstRow + i) * grid.Side, bottom = top + grid.Side - 1;
            (double upperFirst, double upperLast) = outline.Span(top);
            (double lowerFirst, double lowerLast) = outline.Span(bottom);
            (double darkBefore, double darkBeyond) = UsableOn(outline, top, bottom);
            _whole[i] = Inside(Math.Max(Math.Max(upperFirst, lowerFirst), darkBefore), Math.Min(Math.Min(upperLast, lowerLast), darkBeyond));
            _touched[i] = Touching(outline, top, bottom);
        }
        Left = rows == 0 ? 0 : _touched.Min(span => span.First);
        Right = rows == 0 ? -1 : _touched.Max(span => span.Last);
    }

    public CellGrid Grid { get; }

    public int FirstRow { get; }

    public int LastRow => FirstRow + _whole.Length - 1;

    /// <summary>First column that the frame touches in any row.</summary>
    public int Left { get; }

    /// <summary>Last column that the frame touches in any row.</summary>
    public int Right { get; }

    /// <summary>The cells of a row that lie wholly in the frame, and where it has enough light.</summary>
    public CellSpan Whole(int row) => row < FirstRow || row > LastRow ? CellSpan.Empty : _whole[row - FirstRow];

    /// <summary>The cells of a row of which the frame shows at least a part; a corner may be counted in too generously.</summary>
    public CellSpan Touched(int row) => row < FirstRow || row > LastRow ? CellSpan.Empty : _touched[row - FirstRow];

    private CellSpan Inside(double first, double last)
    {
        if (!(first <= last))
            return CellSpan.Empty;
        int from = (int)Math.Ceiling((first - FrameOutline.Tolerance) / Grid.Side), to = (int)Math.Floor((last + FrameOutline.Tolerance - Grid.Side + 1) / Grid.Side);
        return new(Math.Max(from, 0), Math.Min(to, Grid.Columns - 1));
    }

    // A convex part that holds the ends of two rows holds what is between them.
    private static (double First, double Last) UsableOn(FrameOutline outline, double top, double bottom)
    {
        (double first, double last) = outline.UsableSpan(top);
        (double first2, double last2) = outline.UsableSpan(bottom);
        return (Math.Max(first, first2), Math.Min(last, last2));
    }

    private CellSpan Touching(FrameOutline outline, double top, double bottom)
    {
        (double first, double last) = outline.Span(Math.Clamp(top, outline.Top, outline.Bottom));
        (double first2, double last2) = outline.Span(Math.Clamp(bottom, outline.Top, outline.Bottom));
        (first, last) = (Math.Min(first, first2), Math.Max(last, last2));
        foreach ((double x, double y) in outline.Corners)
        {
            if (y >= top && y <= bottom)
                (first, last) = (Math.Min(first, x), Math.Max(last, x));
        }
        int from = (int)Math.Floor((first - FrameOutline.Tolerance) / Grid.Side), to = (int)Math.Floor((last + FrameOutline.Tolerance) / Grid.Side);
        return new(Math.Max(from, 0), Math.Min(to, Grid.Columns - 1));
    }
}

/// <summary>Cells of one row, both ends included.</summary>
internal readonly record struct CellSpan(int First, int Last)
{
    public static CellSpan Empty => new(0, -1);

    public bool IsEmpty => Last < First;

    public int Length => Math.Max(0, Last - First + 1);

    public bool Holds(int column) => column >= First && column <= Last;

    public CellSpan And(CellSpan other) => new(Math.Max(First, other.First), Math.Min(Last, other.Last));
}
