using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Registration;

/// <summary>How far the plan may be trusted.</summary>
/// <param name="Pixels">Standard deviation of a nominal position, px.</param>
/// <param name="Radians">Standard deviation of a nominal angle.</param>
internal readonly record struct PlacementPrior(double Pixels, double Radians);

/// <summary>All placements, solved together.</summary>
/// <param name="Placements">One for each frame.</param>
/// <param name="Weights">The weight that each tie was left with, 0 (rejected) to 1.</param>
/// <param name="Covariances">
/// One 3 x 3 matrix for each frame over (x, y, angle), px and radians, with the mean of all frames (shift and rotation) held fixed.
/// </param>
internal sealed record PoseSolution(IReadOnlyList<Placement> Placements, IReadOnlyList<double> Weights, IReadOnlyList<Matrix<double>> Covariances);

/// <summary>
/// Places all frames together by robust weighted least squares on the ties, with the nominal placements as priors: Gauss-Newton over
/// shift and rotation, weights first by Huber, then by Tukey (Huber 1981; Holland and Welsch 1977; constants of the reference literature).
/// </summary>
internal static class PoseSolver
{
    private const int HuberRounds = 6, TukeyRounds = 10;
    private const double HuberLimit = 1.345, TukeyLimit = 4.685;

    /// <summary>Solves for all placements.</summary>
    /// <param name="frames">The frames with their nominal placements.</param>
    /// <param name="start">Where to start from.</param>
    /// <param name="ties">The measurements.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    public static PoseSolution Solve(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> start, IReadOnlyList<Tie> ties, PlacementPrior prior)
    {
        Placement[] placements = [.. start];
        var weights = new double[ties.Count];
        Array.Fill(weights, 1);
        double scale = 1;
        for (int round = 0; round < HuberRounds + TukeyRounds; round++)
        {
            NormalEquations system = NormalEquations.Build(frames, placements, ties, weights, 1 / (scale * scale), prior);
            system.Step(placements);
            scale = Reweight(ties, placements, weights, tukey: round >= HuberRounds);
        }
        NormalEquations last = NormalEquations.Build(frames, placements, ties, weights, 1 / (scale * scale), prior);
        return new(placements, weights, last.Covariances(placements));
    }

    // The scale is how much larger the differences are than the ties claim; never less than 1, since few ties agree by construction. The
    // length of a two-dimensional normal difference has the median sqrt(2 ln 2) = 1.1774; what the unknowns absorb is added back.
    private static double Reweight(IReadOnlyList<Tie> ties, Placement[] placements, double[] weights, bool tukey)
    {
        if (ties.Count == 0)
            return 1;
        var lengths = new double[ties.Count];
        for (int i = 0; i < lengths.Length; i++)
        {
            (double x, double y) = ties[i].Disagreement(placements);
            lengths[i] = Math.Sqrt(ties[i].Information.SquaredDistance(x, y));
        }
        double[] sorted = [.. lengths.Order()];
        double measurements = 2.0 * ties.Count, unknowns = 3.0 * (placements.Length - 1);
        double absorbed = measurements > 1.5 * unknowns ? Math.Sqrt(measurements / (measurements - unknowns)) : 1;
        double scale = Math.Max(sorted[sorted.Length / 2] / 1.1774 * absorbed, 1);
        for (int i = 0; i < lengths.Length; i++)
        {
            double u = lengths[i] / scale;
            weights[i] = tukey ? (u < TukeyLimit ? Math.Pow(1 - u * u / (TukeyLimit * TukeyLimit), 2) : 0) : Math.Min(1, HuberLimit / Math.Max(u, 1e-9));
        }
        return scale;
    }

    /// <summary>The linearised problem about the current placements; angles count in pixels at a frame's half diagonal.</summary>
    private sealed class NormalEquations
    {
        private readonly Matrix<double> _matrix;
        private readonly Vector<double> _right;
        private readonly bool[] _tied;
        private readonly double _radius;

        private NormalEquations(int frames, double radius)
        {
            _matrix = Matrix<double>.Build.Dense(3 * frames, 3 * frames);
            _right = Vector<double>.Build.Dense(3 * frames);
            _tied = new bool[frames];
            _radius = radius;
        }

        public static NormalEquations Build(IReadOnlyList<PlacedFrame> frames, Placement[] placements, IReadOnlyList<Tie> ties,
            double[] weights, double factor, PlacementPrior prior)
        {
            double radius = frames.Max(f => Math.Sqrt(f.Frame.CentreX * f.Frame.CentreX + f.Frame.CentreY * f.Frame.CentreY));
            var system = new NormalEquations(frames.Count, radius);
            for (int i = 0; i < frames.Count; i++)
                system.AddPrior(i, frames[i].Nominal, placements[i], prior);
            for (int i = 0; i < ties.Count; i++)
            {
                if (weights[i] > 0)
                    system.AddTie(ties[i], placements, weights[i] * factor);
            }
            return system;
        }

        public void Step(Placement[] placements)
        {
            Vector<double> step = Inverse(_matrix) * _right;
            for (int i = 0; i < placements.Length; i++)
                placements[i] = new(placements[i].X + step[3 * i], placements[i].Y + step[3 * i + 1], placements[i].Angle + step[3 * i + 2] / _radius);
        }

        /// <summary>
        /// Covariances with the common shift and rotation of all tied frames held fixed: what neighbours cannot tell is not counted. Frames
        /// that only the plan holds stand apart: next to precise ties their weights would drown in rounding.
        /// </summary>
        public IReadOnlyList<Matrix<double>> Covariances(Placement[] placements)
        {
            int n = placements.Length;
            int[] held = _tied.Contains(true) ? [.. Enumerable.Range(0, n).Where(i => _tied[i])] : [.. Enumerable.Range(0, n)];
            double meanX = held.Average(i => placements[i].X), meanY = held.Average(i => placements[i].Y);
            double spread = Math.Max(_radius, Math.Sqrt(held.Average(i => Math.Pow(placements[i].X - meanX, 2) + Math.Pow(placements[i].Y - meanY, 2))));
            var gauge = Matrix<double>.Build.Dense(3, 3 * n);
            foreach (int i in held)
            {
                gauge[0, 3 * i] = 1;
                gauge[1, 3 * i + 1] = 1;
                gauge[2, 3 * i] = -(placements[i].Y - meanY) / spread;
                gauge[2, 3 * i + 1] = (placements[i].X - meanX) / spread;
                gauge[2, 3 * i + 2] = _radius / spread;
            }
            double strength = 1e3 * held.Max(i => Math.Max(_matrix[3 * i, 3 * i], _matrix[3 * i + 1, 3 * i + 1]));
            Matrix<double> inverse = Inverse(_matrix + strength * gauge.TransposeThisAndMultiply(gauge));
            var result = new Matrix<double>[n];
            for (int i = 0; i < n; i++)
            {
                Matrix<double> block = inverse.SubMatrix(3 * i, 3, 3 * i, 3);
                block.SetRow(2, block.Row(2) / _radius);
                block.SetColumn(2, block.Column(2) / _radius);
                result[i] = block;
            }
            return result;
        }

        // Scaled to a unit diagonal first: a frame that only the plan holds weighs a billionth of one with many ties.
        private static Matrix<double> Inverse(Matrix<double> matrix)
        {
            Vector<double> unit = matrix.Diagonal().Map(value => 1 / Math.Sqrt(value));
            Matrix<double> scaled = matrix.MapIndexed((row, column, value) => value * unit[row] * unit[column]);
            return scaled.Inverse().MapIndexed((row, column, value) => value * unit[row] * unit[column]);
        }

        private void AddPrior(int frame, Placement nominal, Placement current, PlacementPrior prior)
        {
            double position = 1 / (prior.Pixels * prior.Pixels), angle = 1 / (prior.Radians * _radius * prior.Radians * _radius);
            int i = 3 * frame;
            _matrix[i, i] += position;
            _matrix[i + 1, i + 1] += position;
            _matrix[i + 2, i + 2] += angle;
            _right[i] += position * (nominal.X - current.X);
            _right[i + 1] += position * (nominal.Y - current.Y);
            _right[i + 2] += angle * (nominal.Angle - current.Angle) * _radius;
        }

        private void AddTie(Tie tie, Placement[] placements, double weight)
        {
            _tied[tie.A] = _tied[tie.B] = true;
            (double ex, double ey) = tie.Disagreement(placements);
            // Turning a frame by t (in pixels at the radius) moves a spot at canvas offset (ox, oy) from its centre by (-oy, ox) t / radius.
            (double ax, double ay) = placements[tie.A].ToCanvas(tie.Ax, tie.Ay);
            (double bx, double by) = placements[tie.B].ToCanvas(tie.Bx, tie.By);
            Span<double> jx = [1, 0, -(ay - placements[tie.A].Y) / _radius, -1, 0, (by - placements[tie.B].Y) / _radius];
            Span<double> jy = [0, 1, (ax - placements[tie.A].X) / _radius, 0, -1, -(bx - placements[tie.B].X) / _radius];
            Information w = tie.Information.Scaled(weight);
            for (int row = 0; row < 6; row++)
            {
                double wx = w.Xx * jx[row] + w.Xy * jy[row], wy = w.Xy * jx[row] + w.Yy * jy[row];
                int r = Index(tie, row);
                _right[r] -= wx * ex + wy * ey;
                for (int column = 0; column < 6; column++)
                    _matrix[r, Index(tie, column)] += wx * jx[column] + wy * jy[column];
            }
        }

        private static int Index(Tie tie, int local) => local < 3 ? 3 * tie.A + local : 3 * tie.B + local - 3;
    }
}
