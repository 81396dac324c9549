using Imbrex.Sdk.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Photometry;

/// <summary>Shading and gains found together.</summary>
/// <param name="Shading">The shading.</param>
/// <param name="Gains">For each channel the gain of each frame, geometric mean 1.</param>
/// <param name="FStatistic">How much better it explains the overlaps than gains alone do, mean over the channels.</param>
internal sealed record ShadingFit(SensorShading Shading, IReadOnlyList<double[]> Gains, double FStatistic);

/// <summary>
/// Estimates the shading fixed to the sensor from what neighbours share: the same spot of the scene seen at two places of the sensor.
/// </summary>
/// <remarks>
/// After Goldman, IEEE TPAMI 32(12) 2010 (from memory), in the logarithm of light, where it is linear. Falloff fixed to the image plane is the same in
/// both frames and cannot be seen here; a linear ramp can be told from gains only if some frame was turned (reference sheet 3.3): the weak prior
/// leaves such terms at 0.
/// </remarks>
internal static class ShadingSolver
{
    private const int Rounds = 8;
    private const double TukeyLimit = 4.685;

    /// <summary>
    /// Prior standard deviations of a curved and of a linear coefficient, ln of light, and the ridge that holds gains as in
    /// <see cref="GainSolver"/>. Linear terms must be all but 0 unless a turned frame shows them plainly.
    /// </summary>
    private const double CurvedSigma = 0.2, LinearSigma = 0.003, GainRidge = 1e-3;

    /// <summary>Differences smaller than this, in ln of light, are not told apart.</summary>
    private const double Floor = 0.002;

    /// <summary>The shading is taken out only where it explains the overlaps so much better than gains alone.</summary>
    private const double LeastF = 12;

    /// <summary>Solves; null where the overlaps do not ask for it, or are too few to tell.</summary>
    /// <param name="turns">The body's turn of each frame.</param>
    /// <param name="radius">Half diagonal of a frame, px.</param>
    /// <param name="ratios">What the pairs share.</param>
    public static ShadingFit? Solve(IReadOnlyList<Turn> turns, double radius, IReadOnlyList<LightRatio> ratios)
    {
        int patches = ratios.Sum(ratio => ratio.Patches.Count), unknowns = turns.Count + SensorShading.Terms.Count;
        if (patches < 4 * unknowns)
            return null;
        (double[] Gains, double[] Coefficients, double F)[] bands = [.. Enumerable.Range(0, 3).Select(band => SolveBand(turns, radius, ratios, band))];
        double f = bands.Average(b => b.F);
        return f < LeastF ? null : new(new([.. bands.Select(b => b.Coefficients)]), [.. bands.Select(b => b.Gains)], f);
    }

    private static (double[] Gains, double[] Coefficients, double F) SolveBand(IReadOnlyList<Turn> turns, double radius, IReadOnlyList<LightRatio> ratios, int band)
    {
        int frames = turns.Count, terms = SensorShading.Terms.Count;
        List<(double[] Row, double Value)> rows = Rows(turns, radius, ratios, band);
        var weights = new double[rows.Count];
        Array.Fill(weights, 1);
        double sigma = 0.01;
        Vector<double> solution = Vector<double>.Build.Dense(frames + terms);
        for (int round = 0; round < Rounds; round++)
        {
            solution = Solve(rows, weights, sigma, frames, frames + terms);
            sigma = Reweight(rows, solution, weights);
        }
        Vector<double> gainsOnly = Solve(rows, weights, sigma, frames, frames);
        double with = SquareSum(rows, weights, solution), without = SquareSum(rows, weights, gainsOnly);
        double freedom = Math.Max(weights.Sum() - frames - terms, 1), noise = Math.Max(with / freedom, Floor * Floor);
        double mean = solution.Take(frames).Average();
        return ([.. solution.Take(frames).Select(value => Math.Exp(value - mean))], [.. solution.Skip(frames)], (without - with) / terms / noise);
    }

    // ln(light in A / light in B) = shading at A - shading at B - gain A + gain B, gains as logarithms.
    private static List<(double[] Row, double Value)> Rows(IReadOnlyList<Turn> turns, double radius, IReadOnlyList<LightRatio> ratios, int band)
    {
        int frames = turns.Count, terms = SensorShading.Terms.Count;
        var rows = new List<(double[], double)>();
        Span<double> atA = stackalloc double[terms], atB = stackalloc double[terms];
        foreach (LightRatio ratio in ratios)
        {
            foreach (PatchLight patch in ratio.Patches)
            {
                var row = new double[frames + terms];
                row[ratio.A] = -1;
                row[ratio.B] = 1;
                (double x, double y) = SensorShading.Place(patch.Ax, patch.Ay, turns[ratio.A], radius);
                SensorShading.Evaluate(x, y, atA);
                (x, y) = SensorShading.Place(patch.Bx, patch.By, turns[ratio.B], radius);
                SensorShading.Evaluate(x, y, atB);
                for (int i = 0; i < terms; i++)
                    row[frames + i] = atA[i] - atB[i];
                rows.Add((row, Math.Log(patch.InA[band] / patch.InB[band])));
            }
        }
        return rows;
    }

    private static Vector<double> Solve(List<(double[] Row, double Value)> rows, double[] weights, double sigma, int frames, int unknowns)
    {
        var matrix = Matrix<double>.Build.DenseDiagonal(unknowns, unknowns, i => i < frames ? GainRidge : 1 / Math.Pow(i < frames + 2 ? LinearSigma : CurvedSigma, 2));
        var right = Vector<double>.Build.Dense(unknowns);
        for (int k = 0; k < rows.Count; k++)
        {
            (double[] row, double value) = rows[k];
            double w = weights[k] / (sigma * sigma);
            for (int i = 0; i < unknowns; i++)
            {
                if (row[i] == 0)
                    continue;
                right[i] += w * row[i] * value;
                for (int j = 0; j < unknowns; j++)
                    matrix[i, j] += w * row[i] * row[j];
            }
        }
        return matrix.Cholesky().Solve(right);
    }

    private static double Reweight(List<(double[] Row, double Value)> rows, Vector<double> solution, double[] weights)
    {
        double[] left = [.. rows.Select(row => Math.Abs(Left(row, solution)))];
        double[] sorted = [.. left.Order()];
        double sigma = Math.Max(1.482602 * sorted[sorted.Length / 2], Floor);
        for (int i = 0; i < left.Length; i++)
        {
            double u = left[i] / (TukeyLimit * sigma);
            weights[i] = u < 1 ? (1 - u * u) * (1 - u * u) : 0;
        }
        return sigma;
    }

    private static double SquareSum(List<(double[] Row, double Value)> rows, double[] weights, Vector<double> solution)
    {
        double sum = 0;
        for (int i = 0; i < rows.Count; i++)
            sum += weights[i] * Math.Pow(Left(rows[i], solution), 2);
        return sum;
    }

    private static double Left((double[] Row, double Value) row, Vector<double> solution)
    {
        double left = row.Value;
        for (int i = 0; i < solution.Count; i++)
            left -= row.Row[i] * solution[i];
        return left;
    }
}
