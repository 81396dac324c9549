using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Registration;

/// <summary>A pair whose frames the picture joins otherwise than the way round over other pairs does.</summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="Pixels">By how much it disagrees with all others.</param>
internal readonly record struct WrongPair(int A, int B, double Pixels);

/// <summary>
/// Finds pairs that contradict the ways round over other pairs. Each pair's ties are summed up to one measurement, a shift and a rotation with their
/// covariance; the pair that disagrees most with what all others say, counted in its standard deviations, is taken out, until what is left agrees. A pair that
/// nothing goes round has nothing to disagree with.
/// </summary>
internal static class LoopTest
{
    /// <summary>Square of a disagreement, over three degrees of freedom, that chance exceeds once in a million (chi-square).</summary>
    private const double Limit = 30.7;

    /// <summary>The median of chi-square over three degrees of freedom.</summary>
    private const double Median = 2.366;

    /// <summary>Least disagreement that makes a pair wrong, px, and how many times what pairs usually disagree by.</summary>
    private const double LeastPixels = 0.1, LeastTimes = 8;

    /// <summary>Two pairs that disagree alike to within this share cannot be told apart by it; the less certain one goes.</summary>
    private const double Alike = 0.98;

    /// <summary>Names the wrong pairs, the worst first.</summary>
    /// <param name="ties">The measurements.</param>
    /// <param name="placements">Where the frames are believed to lie.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    /// <param name="radius">Half diagonal of a frame, px.</param>
    public static IReadOnlyList<WrongPair> Find(IReadOnlyList<Tie> ties, IReadOnlyList<Placement> placements, PlacementPrior prior, double radius)
    {
        List<PairSummary> pairs = [.. ties.GroupBy(tie => (tie.A, tie.B)).Select(group => PairSummary.Of([.. group], placements, radius)).OfType<PairSummary>()];
        var wrong = new List<WrongPair>();
        // Most must be right for the rest to be called wrong.
        for (int most = pairs.Count / 3; wrong.Count < most;)
        {
            Deletion[] deletions = Delete(pairs, placements, prior, radius);
            double worst = deletions.Max(d => d.Square);
            int at = Enumerable.Range(0, pairs.Count).Where(i => deletions[i].Square >= Alike * worst).MaxBy(i => pairs[i].Variance);
            PairSummary suspect = pairs[at];
            pairs.RemoveAt(at);
            // One wrong pair strains those around it: what is usual shows when it is gone.
            Deletion[] others = Delete(pairs, placements, prior, radius);
            double usual = Math.Max(1, Middle(others.Select(d => d.Square)) / Median), usualPixels = Middle(others.Select(d => d.Pixels));
            if (deletions[at].Square < Limit * usual || deletions[at].Pixels < Math.Max(LeastPixels, LeastTimes * usualPixels))
                break;
            wrong.Add(new(suspect.A, suspect.B, deletions[at].Pixels));
        }
        return wrong;
    }

    // What each pair disagrees by with all others: the residual of a solution without it, by the formula for a deleted measurement.
    private static Deletion[] Delete(List<PairSummary> pairs, IReadOnlyList<Placement> placements, PlacementPrior prior, double radius)
    {
        int n = placements.Count;
        var matrix = Matrix<double>.Build.Dense(3 * n, 3 * n);
        var right = Vector<double>.Build.Dense(3 * n);
        for (int i = 0; i < 3 * n; i++)
            matrix[i, i] = 1 / Math.Pow(i % 3 == 2 ? prior.Radians * radius : prior.Pixels, 2);
        foreach (PairSummary pair in pairs)
        {
            Matrix<double> j = pair.Rows(placements, radius);
            Matrix<double> weighted = j.TransposeThisAndMultiply(pair.Information), square = weighted * j;
            Vector<double> sum = weighted * pair.Mean;
            for (int a = 0; a < 6; a++)
            {
                right[pair.Place(a)] -= sum[a];
                for (int b = 0; b < 6; b++)
                    matrix[pair.Place(a), pair.Place(b)] += square[a, b];
            }
        }
        Vector<double> unit = matrix.Diagonal().Map(value => 1 / Math.Sqrt(value));
        Matrix<double> covariance = matrix.MapIndexed((r, c, v) => v * unit[r] * unit[c]).Inverse().MapIndexed((r, c, v) => v * unit[r] * unit[c]);
        Vector<double> solution = covariance * right;
        return [.. pairs.Select(pair => Delete(pair, pair.Rows(placements, radius), covariance, solution))];
    }

    private static Deletion Delete(PairSummary pair, Matrix<double> rows, Matrix<double> covariance, Vector<double> solution)
    {
        var own = Matrix<double>.Build.Dense(6, 6, (a, b) => covariance[pair.Place(a), pair.Place(b)]);
        Vector<double> left = pair.Mean + rows * Vector<double>.Build.Dense(6, a => solution[pair.Place(a)]);
        Matrix<double> claimed = pair.Information.Inverse(), remaining = claimed - rows * own.TransposeAndMultiply(rows);
        // Nothing goes round a pair whose residual has no room: it was fitted whatever it said.
        if (remaining.Trace() < 1e-3 * claimed.Trace() || remaining.Determinant() <= 1e-9 * claimed.Determinant())
            return default;
        Vector<double> unscaled = remaining.Solve(left), deleted = claimed * unscaled;
        return new(left * unscaled, Math.Sqrt(deleted[0] * deleted[0] + deleted[1] * deleted[1]));
    }

    private static double Middle(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0 ? 0 : sorted[sorted.Length / 2];
    }

    private readonly record struct Deletion(double Square, double Pixels);

    /// <summary>One pair's ties as one measurement at their middle: shift, and rotation in pixels at the radius.</summary>
    private sealed record PairSummary(int A, int B, double X, double Y, Vector<double> Mean, Matrix<double> Information)
    {
        public double Variance => Information.Inverse().Trace();

        public int Place(int k) => k < 3 ? 3 * A + k : 3 * B + k - 3;

        public static PairSummary? Of(Tie[] ties, IReadOnlyList<Placement> placements, double radius)
        {
            double x = 0, y = 0, weight = 0;
            var spots = new (double X, double Y, double Ex, double Ey)[ties.Length];
            for (int i = 0; i < ties.Length; i++)
            {
                (double cx, double cy) = placements[ties[i].A].ToCanvas(ties[i].Ax, ties[i].Ay);
                (double ex, double ey) = ties[i].Disagreement(placements);
                double w = ties[i].Information.Xx + ties[i].Information.Yy;
                (spots[i], x, y, weight) = ((cx, cy, ex, ey), x + w * cx, y + w * cy, weight + w);
            }
            (x, y) = (x / weight, y / weight);
            // Within the pair too some may be wrong: weighed by how far they are from the rest, as in the whole.
            var inside = new double[ties.Length];
            Array.Fill(inside, 1);
            Vector<double> mean = Vector<double>.Build.Dense(3);
            Matrix<double> information = Matrix<double>.Build.Dense(3, 3);
            double scale = 1;
            for (int round = 0; round < 8; round++)
            {
                information.Clear();
                // A weak belief that the frames are not turned, for pairs of few ties.
                information[2, 2] = 1e-6 * weight;
                Vector<double> sum = Vector<double>.Build.Dense(3);
                for (int i = 0; i < ties.Length; i++)
                {
                    Information w = ties[i].Information.Scaled(inside[i]);
                    (double rx, double ry) = (-(spots[i].Y - y) / radius, (spots[i].X - x) / radius);
                    (double wx, double wy) = (w.Xx * rx + w.Xy * ry, w.Xy * rx + w.Yy * ry);
                    (double fx, double fy) = (w.Xx * spots[i].Ex + w.Xy * spots[i].Ey, w.Xy * spots[i].Ex + w.Yy * spots[i].Ey);
                    information[0, 0] += w.Xx;
                    information[0, 1] += w.Xy;
                    information[1, 1] += w.Yy;
                    information[0, 2] += wx;
                    information[1, 2] += wy;
                    information[2, 2] += rx * wx + ry * wy;
                    (sum[0], sum[1], sum[2]) = (sum[0] + fx, sum[1] + fy, sum[2] + rx * fx + ry * fy);
                }
                (information[1, 0], information[2, 0], information[2, 1]) = (information[0, 1], information[0, 2], information[1, 2]);
                if (information.Determinant() is not > 0)
                    return null;
                mean = information.Solve(sum);
                double[] lengths = new double[ties.Length];
                for (int i = 0; i < ties.Length; i++)
                {
                    double ex = spots[i].Ex - mean[0] + mean[2] * (spots[i].Y - y) / radius, ey = spots[i].Ey - mean[1] - mean[2] * (spots[i].X - x) / radius;
                    lengths[i] = Math.Sqrt(ties[i].Information.SquaredDistance(ex, ey));
                }
                scale = Math.Max(1, Middle(lengths) / 1.1774);
                for (int i = 0; i < ties.Length; i++)
                    inside[i] = Math.Min(1, 2 / Math.Max(lengths[i] / scale, 1e-9));
            }
            return new(ties[0].A, ties[0].B, x, y, mean, information / (scale * scale));
        }

        // How the measurement's disagreement follows the two frames' shifts and rotations.
        public Matrix<double> Rows(IReadOnlyList<Placement> placements, double radius)
        {
            var rows = Matrix<double>.Build.Dense(3, 6);
            foreach ((int frame, int first, double sign) in new[] { (A, 0, 1.0), (B, 3, -1.0) })
            {
                rows[0, first] = rows[1, first + 1] = rows[2, first + 2] = sign;
                rows[0, first + 2] = -sign * (Y - placements[frame].Y) / radius;
                rows[1, first + 2] = sign * (X - placements[frame].X) / radius;
            }
            return rows;
        }
    }
}
