using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out exposure and colour: one factor on linear light for each frame and channel, by weighted least squares in the logarithm of
/// light, so that the result does not depend on the scale; the geometric mean over the frames is 1 (reference sheet 3.1).
/// </summary>
internal static class GainSolver
{
    /// <summary>Weight that holds frames without measurements at gain 1, far below that of any measurement.</summary>
    private const double Ridge = 1e-3;

    /// <summary>Solves one channel.</summary>
    /// <param name="frames">Number of frames.</param>
    /// <param name="ratios">The measured pairs.</param>
    /// <param name="band">0, 1, 2 for R, G, B.</param>
    /// <returns>The gain of each frame.</returns>
    public static double[] Solve(int frames, IReadOnlyList<LightRatio> ratios, int band)
    {
        var matrix = Matrix<double>.Build.DenseDiagonal(frames, frames, Ridge);
        var right = Vector<double>.Build.Dense(frames);
        foreach (LightRatio pair in ratios)
        {
            double w = pair.Weight[band], r = pair.LogRatio[band];
            matrix[pair.A, pair.A] += w;
            matrix[pair.B, pair.B] += w;
            matrix[pair.A, pair.B] -= w;
            matrix[pair.B, pair.A] -= w;
            right[pair.A] -= w * r;
            right[pair.B] += w * r;
        }
        Vector<double> log = matrix.Cholesky().Solve(right);
        double mean = log.Average();
        return [.. log.Select(value => Math.Exp(value - mean))];
    }
}
