using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// First gains for one channel: the median over each pair's patches, whatever moved there, then weighted least squares in the logarithm of light, so
/// that the result does not depend on the scale; the geometric mean over the frames is 1 (reference sheet 3.1).
/// </summary>
internal static class GainStart
{
    /// <summary>Weight that holds frames without measurements at gain 1, far below that of any measurement.</summary>
    private const double Ridge = 1e-3;

    /// <summary>ln of the gain of each frame.</summary>
    public static double[] Solve(int frames, IReadOnlyList<PatchRow> rows)
    {
        var matrix = Matrix<double>.Build.DenseDiagonal(frames, frames, Ridge);
        var right = Vector<double>.Build.Dense(frames);
        foreach (IGrouping<(int A, int B), PatchRow> pair in rows.GroupBy(row => (row.A, row.B)))
        {
            (int a, int b) = pair.Key;
            double ratio = pair.Select(row => Math.Log(row.InA / row.InB) + row.Known).Median(), weight = pair.Sum(row => 1 / (row.Sigma * row.Sigma));
            matrix[a, a] += weight;
            matrix[b, b] += weight;
            matrix[a, b] -= weight;
            matrix[b, a] -= weight;
            right[a] -= weight * ratio;
            right[b] += weight * ratio;
        }
        Vector<double> log = matrix.Cholesky().Solve(right);
        double mean = log.Average();
        return [.. log.Select(value => value - mean)];
    }
}
