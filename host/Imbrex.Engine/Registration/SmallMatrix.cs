namespace Imbrex.Engine.Registration;

/// <summary>Symmetric positive matrices of a few rows, row after row, for inner loops that must not allocate.</summary>
internal static class SmallMatrix
{
    /// <summary>Inverts by Cholesky's factors after scaling to a unit diagonal; false where the matrix is singular to within a millionth.</summary>
    public static bool TryInvert(ReadOnlySpan<double> matrix, Span<double> inverse, int size)
    {
        const double Least = 1e-6;
        Span<double> lower = stackalloc double[size * size], unit = stackalloc double[size];
        for (int i = 0; i < size; i++)
        {
            if (!(matrix[i * size + i] > 0))
                return false;
            unit[i] = 1 / Math.Sqrt(matrix[i * size + i]);
        }
        for (int i = 0; i < size; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double sum = matrix[i * size + j] * unit[i] * unit[j];
                for (int k = 0; k < j; k++)
                    sum -= lower[i * size + k] * lower[j * size + k];
                if (i == j && !(sum > Least))
                    return false;
                lower[i * size + j] = i == j ? Math.Sqrt(sum) : sum / lower[j * size + j];
            }
        }
        Span<double> column = stackalloc double[size];
        for (int c = 0; c < size; c++)
        {
            for (int i = 0; i < size; i++)
            {
                double sum = i == c ? 1 : 0;
                for (int k = 0; k < i; k++)
                    sum -= lower[i * size + k] * column[k];
                column[i] = sum / lower[i * size + i];
            }
            for (int i = size - 1; i >= 0; i--)
            {
                double sum = column[i];
                for (int k = i + 1; k < size; k++)
                    sum -= lower[k * size + i] * column[k];
                column[i] = sum / lower[i * size + i];
                inverse[i * size + c] = column[i] * unit[i] * unit[c];
            }
        }
        return true;
    }

    /// <summary>The product with a vector.</summary>
    public static void Multiply(ReadOnlySpan<double> matrix, ReadOnlySpan<double> vector, Span<double> product, int size)
    {
        for (int i = 0; i < size; i++)
        {
            double sum = 0;
            for (int j = 0; j < size; j++)
                sum += matrix[i * size + j] * vector[j];
            product[i] = sum;
        }
    }
}
