using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Seams;

/// <summary>
/// The smooth part of what two frames differ by over what they share, as a part of the code: light that was not evened out quite. Least squares
/// over the medians of blocks, with Tukey's weights, so that what moved has no say.
/// </summary>
internal sealed class PairBalance
{
    /// <summary>Most blocks along a side.</summary>
    private const int MostBlocks = 8;

    /// <summary>Least cells along a block's side.</summary>
    private const int LeastSide = 6;

    /// <summary>Cells looked at in a block, about.</summary>
    private const int Samples = 150;

    /// <summary>Codes that are too dark to divide by, or clipped.</summary>
    private const ushort Darkest = 1000, Brightest = 64_000;

    /// <summary>Blocks that differ by no more than this still belong to the smooth part: its corners bend more than a quadratic.</summary>
    private const double Floor = 0.01;

    private readonly Vector<double> _terms;
    private readonly SharedCells _shared;

    private PairBalance(SharedCells shared, Vector<double> terms) => (_shared, _terms) = (shared, terms);

    /// <summary>Fits one channel.</summary>
    public static PairBalance Fit(SharedCells shared, int band)
    {
        int across = Math.Clamp(shared.Width / LeastSide, 1, MostBlocks), down = Math.Clamp(shared.Rows / LeastSide, 1, MostBlocks);
        var blocks = new List<(double X, double Y, double Value)>();
        for (int i = 0; i < across * down; i++)
        {
            int left = shared.Left + shared.Width * (i % across) / across, right = shared.Left + shared.Width * (i % across + 1) / across;
            int top = shared.Top + shared.Rows * (i / across) / down, bottom = shared.Top + shared.Rows * (i / across + 1) / down;
            if (BlockMedian(shared, band, left, right, top, bottom) is { } median)
            {
                (double x, double y) = Normalised(shared, (left + right - 1) / 2.0, (top + bottom - 1) / 2.0);
                blocks.Add((x, y, median));
            }
        }
        return new(shared, Solve(blocks));
    }

    /// <summary>How much brighter the first frame is, as a part of the code.</summary>
    public double At(int column, int row)
    {
        (double x, double y) = Normalised(_shared, column, row);
        return Terms(x, y).DotProduct(_terms);
    }

    /// <summary>Along a row the part is c0 + c1 column + c2 column².</summary>
    public (float Constant, float Linear, float Square) Row(int row)
    {
        // The quadratic through three places of a quadratic is itself.
        double mid = At(_shared.Left, row), next = At(_shared.Left + 1, row), after = At(_shared.Left + 2, row);
        double square = (after - 2 * next + mid) / 2;
        return ((float)mid, (float)(next - mid - square), (float)square);
    }

    private static double? BlockMedian(SharedCells shared, int band, int left, int right, int top, int bottom)
    {
        int step = Math.Max(1, (int)Math.Sqrt((double)(right - left) * (bottom - top) / Samples));
        var values = new List<double>();
        for (int row = top; row < bottom; row += step)
        {
            CellSpan span = shared.Span(row).And(new(left, right - 1));
            for (int column = span.First; column <= span.Last; column += step)
            {
                (int a, int b) = shared.Codes(band, column, row);
                if (a is > Darkest and < Brightest && b is > Darkest and < Brightest)
                    values.Add((a - b) * 2.0 / (a + b));
            }
        }
        return values.Count < 5 ? null : values.Median();
    }

    private static Vector<double> Solve(List<(double X, double Y, double Value)> blocks)
    {
        int terms = blocks.Count >= 12 ? 6 : blocks.Count >= 6 ? 3 : blocks.Count > 0 ? 1 : 0;
        Vector<double> found = Vector<double>.Build.Dense(6);
        if (terms == 0)
            return found;
        // From the median on: least squares to begin with would bend after a large thing that moved, and never let go of it.
        found[0] = blocks.Select(block => block.Value).Median();
        double[] weights = Weights(blocks, found);
        for (int round = 0; round < 6; round++)
        {
            Matrix<double> normal = Matrix<double>.Build.Dense(6, 6);
            Vector<double> right = Vector<double>.Build.Dense(6);
            for (int i = 0; i < blocks.Count; i++)
                Accumulate(blocks[i], weights[i], normal, right);
            // A little pull to 0 for what a narrow strip does not tell; all of it for terms that are not used.
            for (int k = 0; k < 6; k++)
                normal[k, k] += k < terms ? 1e-3 * blocks.Count : 1e9;
            found = normal.Cholesky().Solve(right);
            weights = Weights(blocks, found);
        }
        return found;
    }

    private static void Accumulate((double X, double Y, double Value) block, double weight, Matrix<double> normal, Vector<double> right)
    {
        ReadOnlySpan<double> terms = [1, block.X, block.Y, block.X * block.X, block.X * block.Y, block.Y * block.Y];
        for (int i = 0; i < terms.Length; i++)
        {
            right[i] += weight * block.Value * terms[i];
            for (int k = 0; k < terms.Length; k++)
                normal[i, k] += weight * terms[i] * terms[k];
        }
    }

    // Tukey's, with the scale from the median (Holland and Welsch 1977).
    private static double[] Weights(List<(double X, double Y, double Value)> blocks, Vector<double> found)
    {
        double[] left = [.. blocks.Select(block => Math.Abs(block.Value - Terms(block.X, block.Y).DotProduct(found)))];
        double reach = 4.685 * Math.Max(1.482602 * left.Median(), Floor);
        return [.. left.Select(value => value < reach ? Math.Pow(1 - value * value / (reach * reach), 2) : 0)];
    }

    private static Vector<double> Terms(double x, double y) => Vector<double>.Build.DenseOfArray([1, x, y, x * x, x * y, y * y]);

    private static (double X, double Y) Normalised(SharedCells shared, double column, double row) =>
        (2 * (column - shared.Left) / Math.Max(shared.Width - 1, 1) - 1, 2 * (row - shared.Top) / Math.Max(shared.Rows - 1, 1) - 1);
}
