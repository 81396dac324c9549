using Imbrex.Engine.Photometry;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

public sealed class BoundedSolverTests
{
    /// <summary>Against trying every choice of unknowns held at 0.</summary>
    [Fact]
    public void It_finds_the_least_of_all_choices()
    {
        var random = new Random(11);
        int bounded = 0;
        for (int trial = 0; trial < 300; trial++)
        {
            int size = random.Next(1, 9), free = random.Next(0, size + 1);
            Matrix<double> root = Matrix<double>.Build.Dense(size + 2, size, (_, _) => random.NextDouble() - 0.4);
            Matrix<double> matrix = root.TransposeThisAndMultiply(root) + 1e-4 * Matrix<double>.Build.DenseIdentity(size);
            Vector<double> right = Vector<double>.Build.Dense(size, _ => random.NextDouble() - 0.5);
            double Value(Vector<double> x) => x * (matrix * x) / 2 - right * x;
            Vector<double> got = BoundedSolver.Solve(matrix, right, free);
            double least = Choices(matrix, right, free).Min(Value);
            Assert.All(got.Skip(free), x => Assert.True(x >= -1e-10));
            Assert.Equal(least, Value(got), 1e-9 * Math.Max(1, Math.Abs(least)));
            bounded += got.Skip(free).Any(x => x == 0) ? 1 : 0;
        }
        Assert.InRange(bounded, 50, 290);
    }

    private static IEnumerable<Vector<double>> Choices(Matrix<double> matrix, Vector<double> right, int free)
    {
        for (int choice = 0; choice < 1 << (right.Count - free); choice++)
        {
            int[] open = [.. Enumerable.Range(0, right.Count).Where(i => i < free || (choice >> (i - free) & 1) == 0)];
            var x = Vector<double>.Build.Dense(right.Count);
            if (open.Length > 0)
            {
                Vector<double> some = Matrix<double>.Build.Dense(open.Length, open.Length, (i, j) => matrix[open[i], open[j]]).LU()
                    .Solve(Vector<double>.Build.Dense(open.Length, i => right[open[i]]));
                for (int i = 0; i < open.Length; i++)
                    x[open[i]] = some[i];
            }
            if (x.Skip(free).All(value => value >= 0))
                yield return x;
        }
    }
}
