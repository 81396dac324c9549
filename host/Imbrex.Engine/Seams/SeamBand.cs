namespace Imbrex.Engine.Seams;

/// <summary>The cells in which seams are refined: near a change of frames, where a cell's frame does not cover it, and round moving things.</summary>
internal static class SeamBand
{
    public static bool[] Along(CellGrid grid, byte[] labels, IReadOnlyList<CellPicture> pictures, IReadOnlyDictionary<int, byte> bound, int width)
    {
        var marks = new bool[grid.Count];
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                byte label = labels[cell];
                if (label == SeamMap.None)
                    continue;
                if (!pictures[label].Cells.Whole(row).Holds(column))
                    marks[cell] = true;
                if (column + 1 < grid.Columns && labels[cell + 1] != label)
                    marks[cell] = marks[cell + 1] = true;
                if (row + 1 < grid.Rows && labels[cell + grid.Columns] != label)
                    marks[cell] = marks[cell + grid.Columns] = true;
            }
        }
        foreach (int cell in bound.Keys)
            marks[cell] = true;
        var line = new bool[Math.Max(grid.Columns, grid.Rows)];
        for (int row = 0; row < grid.Rows; row++)
            Widen(marks.AsSpan(row * grid.Columns), grid.Columns, 1, width, line);
        for (int column = 0; column < grid.Columns; column++)
            Widen(marks.AsSpan(column), grid.Rows, grid.Columns, width, line);
        return marks;
    }

    // Marks everything no further than so many steps from a mark, along one line.
    private static void Widen(Span<bool> marks, int count, int stride, int width, bool[] line)
    {
        for (int i = 0; i < count; i++)
            line[i] = marks[i * stride];
        for (int i = 0, filled = 0; i < count; i++)
        {
            if (!line[i])
                continue;
            for (int k = Math.Max(filled, i - width); k <= Math.Min(count - 1, i + width); k++)
                marks[k * stride] = true;
            filled = Math.Min(count, i + width + 1);
        }
    }
}
