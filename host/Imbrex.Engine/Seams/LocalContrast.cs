using System.Numerics.Tensors;

namespace Imbrex.Engine.Seams;

/// <summary>How much the picture changes round a cell: the range of grey over 3 x 3 shared cells, in that frame of a pair in which it is less.</summary>
internal static class LocalContrast
{
    /// <summary>Fills in the contrast of all shared cells, codes.</summary>
    public static void Fill(SharedCells shared, CellPlane contrasts)
    {
        using CellPlane grey = shared.NewPlane(), least = shared.NewPlane(), most = shared.NewPlane();
        Range(shared, shared.InA, grey, least, most);
        most.All.CopyTo(contrasts.All);
        Range(shared, shared.InB, grey, least, most);
        TensorPrimitives.Min(contrasts.All, most.All, contrasts.All);
    }

    // Leaves the range in the plane of the largest values.
    private static void Range(SharedCells shared, CellPicture picture, CellPlane grey, CellPlane least, CellPlane most)
    {
        FillGrey(shared, picture, grey, beyond: float.MaxValue);
        grey.LeastOfNine(least);
        FillGrey(shared, picture, grey, beyond: float.MinValue);
        grey.MostOfNine(most);
        TensorPrimitives.Subtract(most.All, least.All, most.All);
    }

    private static void FillGrey(SharedCells shared, CellPicture picture, CellPlane grey, float beyond)
    {
        grey.All.Fill(beyond);
        for (int y = 0; y < shared.Rows; y++)
        {
            CellSpan span = shared.Span(shared.Top + y);
            if (span.IsEmpty)
                continue;
            int at = picture.At(span.First, shared.Top + y);
            ReadOnlySpan<ushort> red = picture.Codes[0].AsSpan(at, span.Length), green = picture.Codes[1].AsSpan(at, span.Length), blue = picture.Codes[2].AsSpan(at, span.Length);
            Span<float> row = grey.Row(y).Slice(span.First - shared.Left, span.Length);
            for (int x = 0; x < row.Length; x++)
                row[x] = (red[x] + 2 * green[x] + blue[x]) * 0.25f;
        }
    }
}
