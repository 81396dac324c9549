namespace Imbrex.Engine.Seams;

/// <summary>How much the picture changes round a cell: the range of grey over 3 x 3 cells, in that frame of a pair in which it is less.</summary>
internal static class LocalContrast
{
    /// <summary>Fills in the contrast of all shared cells, codes.</summary>
    public static void Fill(SharedCells shared, Span<float> contrasts)
    {
        for (int row = shared.Top; row < shared.Top + shared.Rows; row++)
        {
            CellSpan span = shared.Span(row);
            for (int column = span.First; column <= span.Last; column++)
                contrasts[shared.At(column, row)] = Math.Min(Range(shared, shared.InA, column, row), Range(shared, shared.InB, column, row));
        }
    }

    private static int Range(SharedCells shared, CellPicture picture, int column, int row)
    {
        int least = int.MaxValue, most = 0;
        ushort[] red = picture.Codes[0], green = picture.Codes[1], blue = picture.Codes[2];
        for (int y = row - 1; y <= row + 1; y++)
        {
            CellSpan span = shared.Span(y).And(new(column - 1, column + 1));
            int at = span.IsEmpty ? 0 : picture.At(span.First, y);
            for (int i = 0; i < span.Length; i++, at++)
            {
                int grey = red[at] + 2 * green[at] + blue[at];
                (least, most) = (Math.Min(least, grey), Math.Max(most, grey));
            }
        }
        return (most - least) / 4;
    }
}
