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

    /// <summary>Ties are never taken to be more than ten times as precise as they claim, however well they happen to agree.</summary>
    private const double LeastScale = 0.1;

    /// <summary>A frame with less than this part of the best frame's information stands apart when deviations are worked out.</summary>
    private const double LooselyTied = 1e-6;

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
        double scale = 1, spread = 1;
        for (int round = 0; round < HuberRounds + TukeyRounds; round++)
        {
            NormalEquations system = NormalEquations.Build(frames, placements, ties, weights, 1 / (spread * spread), prior);
            system.Step(placements);
            scale = Reweight(ties, placements, weights, tukey: round >= HuberRounds);
            spread = Spread(scale, ties);
        }
        NormalEquations last = NormalEquations.Build(frames, placements, ties, weights, 1 / (spread * spread), prior);
        return new(placements, weights, last.Covariances(placements));
    }

    // The scale is how much larger the differences are than the ties claim. The length of a two-dimensional normal difference has
    // the median sqrt(2 ln 2) = 1.1774.
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
        double scale = Math.Max(sorted[sorted.Length / 2] / 1.1774, LeastScale);
        for (int i = 0; i < lengths.Length; i++)
        {
            double u = lengths[i] / scale;
            weights[i] = tukey ? (u < TukeyLimit ? Math.Pow(1 - u * u / (TukeyLimit * TukeyLimit), 2) : 0) : Math.Min(1, HuberLimit / Math.Max(u, 1e-9));
        }
        return scale;
    }

    // The differences left after fitting are smaller than the errors, by as many measurements as placements were fitted to them. Where
    // there are no more than that, they tell nothing, and the ties' own claims stand.
    private static double Spread(double scale, IReadOnlyList<Tie> ties)
    {
        int measured = 2 * ties.Count, fitted = 3 * (ties.SelectMany(tie => new[] { tie.A, tie.B }).Distinct().Count() - 1);
        return measured > fitted ? Math.Max(scale * Math.Sqrt(measured / (double)(measured - fitted)), LeastScale) : Math.Max(scale, 1);
    }

    /// <summary>The linearised problem about the current placements; angles count in pixels at a frame's half diagonal.</summary>
    private sealed class NormalEquations
    {
        private readonly Matrix<double> _matrix;
        private readonly Vector<double> _right;
        private readonly double _radius;

        private NormalEquations(int frames, double radius)
        {
            _matrix = Matrix<double>.Build.Dense(3 * frames, 3 * frames);
            _right = Vector<double>.Build.Dense(3 * frames);
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
            Vector<double> step = _matrix.Cholesky().Solve(_right);
            for (int i = 0; i < placements.Length; i++)
                placements[i] = new(placements[i].X + step[3 * i], placements[i].Y + step[3 * i + 1], placements[i].Angle + step[3 * i + 2] / _radius);
        }

        /// <summary>
        /// Covariances with the common shift and rotation of all tied frames held fixed: what neighbours cannot tell is not counted. Frames
        /// that little but the plan holds stand apart: next to precise ties their weights would drown in rounding.
        /// </summary>
        public IReadOnlyList<Matrix<double>> Covariances(Placement[] placements)
        {
            int n = placements.Length;
            double Weight(int i) => _matrix[3 * i, 3 * i] + _matrix[3 * i + 1, 3 * i + 1];
            double least = LooselyTied * Enumerable.Range(0, n).Max(Weight);
            int[] held = [.. Enumerable.Range(0, n).Where(i => Weight(i) >= least)];
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
            double strength = 1e3 * held.Max(Weight);
            Matrix<double> inverse = (_matrix + strength * gauge.TransposeThisAndMultiply(gauge)).Cholesky().Solve(Matrix<double>.Build.DenseIdentity(3 * n));
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
