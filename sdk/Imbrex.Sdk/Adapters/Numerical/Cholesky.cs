namespace Imbrex.Sdk.Adapters.Numerical;

/// <summary>Small symmetric systems of equations (Golub and Van Loan, Matrix Computations, section 4.2; from memory).</summary>
internal static class Cholesky
{
    // A pivot below this part of its diagonal is rounding.
    private const double Least = 1e-15;

    /// <summary>Solves (A + more I) x = b; null where that matrix is not positive.</summary>
    public static double[]? Solve(double[,] matrix, double more, double[] right)
    {
        int n = right.Length;
        double[,] root = new double[n, n];
        for (int i = 0; i < n; i++)
        {
            for (int k = 0; k <= i; k++)
            {
                double sum = matrix[i, k] + (i == k ? more : 0);
                for (int m = 0; m < k; m++)
                    sum -= root[i, m] * root[k, m];
                if (i != k)
                    root[i, k] = sum / root[k, k];
                else if (sum > Least * (Math.Abs(matrix[i, i]) + more))
                    root[i, i] = Math.Sqrt(sum);
                else
                    return null;
            }
        }
        double[] x = [.. right];
        for (int i = 0; i < n; i++)
        {
            for (int k = 0; k < i; k++)
                x[i] -= root[i, k] * x[k];
            x[i] /= root[i, i];
        }
        for (int i = n - 1; i >= 0; i--)
        {
            for (int k = i + 1; k < n; k++)
                x[i] -= root[k, i] * x[k];
            x[i] /= root[i, i];
        }
        return x;
    }
}
