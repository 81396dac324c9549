using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Least squares in which the last unknowns may not fall below 0, from the normal equations: block principal pivoting with single exchanges as the
/// way out of cycles (J. Júdice and F. Pires 1994; L. Portugal, J. Júdice and L. Vicente, Mathematics of Computation 63, 1994; from memory).
/// </summary>
internal static class BoundedSolver
{
    /// <summary>So many block exchanges may pass without fewer faults before single ones take over.</summary>
    private const int Patience = 3;

    private const double Tolerance = 1e-12;

    /// <summary>Minimises x' matrix x / 2 - right' x.</summary>
    /// <param name="matrix">Symmetric, positive definite.</param>
    /// <param name="right">The right side.</param>
    /// <param name="free">So many of the first unknowns are not bounded.</param>
    public static Vector<double> Solve(Matrix<double> matrix, Vector<double> right, int free)
    {
        var held = new bool[right.Count];
        int least = int.MaxValue, patience = Patience;
        while (true)
        {
            Vector<double> x = SolveHeld(matrix, right, held);
            List<int> faults = Faults(matrix, right, x, held, free);
            if (faults.Count == 0)
                return x;
            if (faults.Count < least)
                (least, patience) = (faults.Count, Patience);
            else
                patience--;
            foreach (int i in patience >= 0 ? faults : faults[^1..])
                held[i] = !held[i];
        }
    }

    // Free unknowns below 0, and held ones that would lower the sum by leaving 0.
    private static List<int> Faults(Matrix<double> matrix, Vector<double> right, Vector<double> x, bool[] held, int free)
    {
        var faults = new List<int>();
        Vector<double> slope = free < x.Count ? matrix * x - right : right;
        for (int i = free; i < x.Count; i++)
        {
            if (held[i] ? slope[i] < -Tolerance * Math.Max(Math.Abs(right[i]), 1) : x[i] < -Tolerance)
                faults.Add(i);
        }
        return faults;
    }

    private static Vector<double> SolveHeld(Matrix<double> matrix, Vector<double> right, bool[] held)
    {
        int[] open = [.. Enumerable.Range(0, held.Length).Where(i => !held[i])];
        if (open.Length == 0)
            return Vector<double>.Build.Dense(held.Length);
        Vector<double> some = Matrix<double>.Build.Dense(open.Length, open.Length, (i, j) => matrix[open[i], open[j]])
            .Cholesky().Solve(Vector<double>.Build.Dense(open.Length, i => right[open[i]]));
        var x = Vector<double>.Build.Dense(held.Length);
        for (int i = 0; i < open.Length; i++)
            x[open[i]] = some[i];
        return x;
    }
}
