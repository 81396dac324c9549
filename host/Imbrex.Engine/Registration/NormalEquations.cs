using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Registration;

/// <summary>The linearised problem about the current unknowns. Derivatives are taken by small steps, which serves all models alike.</summary>
internal sealed class NormalEquations
{
    /// <summary>
    /// Half a step of an unknown, px: bends are so slight that over this all is straight, and rounding of canvas positions is far below what would let the common
    /// shift, which no tie holds, drift.
    /// </summary>
    private const double HalfStep = 0.5;

    private readonly MotionModel _model;
    private readonly Matrix<double> _matrix;
    private readonly Vector<double> _right;
    private readonly Placement[] _placements;
    private readonly Placement[][] _less, _more;
    private readonly bool[] _tied;

    /// <summary>Builds the problem.</summary>
    /// <param name="model">The unknowns and what they do.</param>
    /// <param name="unknowns">Their values.</param>
    /// <param name="ties">The measurements.</param>
    /// <param name="weights">A weight for each.</param>
    /// <param name="factor">A factor on all of them.</param>
    /// <param name="prior">How far the plan may be trusted.</param>
    public NormalEquations(MotionModel model, double[] unknowns, IReadOnlyList<Tie> ties, IReadOnlyList<double> weights, double factor, PlacementPrior prior)
    {
        _model = model;
        _matrix = Matrix<double>.Build.Dense(model.Count, model.Count);
        _right = Vector<double>.Build.Dense(model.Count);
        _placements = PoseSolver.Place(model, unknowns);
        _tied = new bool[_placements.Length];
        (_less, _more) = (Stepped(unknowns, -HalfStep), Stepped(unknowns, HalfStep));
        for (int i = 0; i < model.Count; i++)
        {
            double weight = 1 / Math.Pow(model.Deviation(i, prior), 2);
            _matrix[i, i] += weight;
            _right[i] += weight * (model.Expected(i) - unknowns[i]);
        }
        var row = new TieRow(model);
        for (int i = 0; i < ties.Count; i++)
        {
            if (weights[i] > 0)
                Add(ties[i], weights[i] * factor, row);
        }
    }

    /// <summary>Moves the unknowns to the solution.</summary>
    public void Step(double[] unknowns)
    {
        // Scaled to a unit diagonal first: a frame that only the plan holds weighs a billionth of one with many ties.
        Vector<double> unit = _matrix.Diagonal().Map(value => 1 / Math.Sqrt(value));
        Vector<double> step = Scaled(_matrix, unit).Cholesky().Solve(_right.PointwiseMultiply(unit)).PointwiseMultiply(unit);
        for (int i = 0; i < unknowns.Length; i++)
            unknowns[i] += step[i];
    }

    /// <summary>
    /// Covariances of the frames' places with the common shift and rotation of all tied frames held fixed: what neighbours cannot tell is not counted. Frames
    /// that only the plan holds stand apart: next to precise ties their weights would drown in rounding.
    /// </summary>
    public IReadOnlyList<Matrix<double>> Covariances(double[] unknowns)
    {
        int n = _placements.Length;
        int[] held = _tied.Contains(true) ? [.. Enumerable.Range(0, n).Where(i => _tied[i])] : [.. Enumerable.Range(0, n)];
        double meanX = held.Average(i => _placements[i].X), meanY = held.Average(i => _placements[i].Y);
        double spread = Math.Max(_model.Radius, Math.Sqrt(held.Average(i => Math.Pow(_placements[i].X - meanX, 2) + Math.Pow(_placements[i].Y - meanY, 2))));
        Matrix<double>[] places = [.. Enumerable.Range(0, n).Select(PlaceBy)];
        var gauge = Matrix<double>.Build.Dense(3, unknowns.Length);
        foreach (int i in held)
        {
            gauge.SetRow(0, gauge.Row(0) + places[i].Row(0));
            gauge.SetRow(1, gauge.Row(1) + places[i].Row(1));
            gauge.SetRow(2, gauge.Row(2) - places[i].Row(0) * ((_placements[i].Y - meanY) / spread) + places[i].Row(1) * ((_placements[i].X - meanX) / spread)
                + places[i].Row(2) * (_model.Radius * _model.Radius / spread));
        }
        double strength = 1e3 * held.Max(i => Math.Max(_matrix[_model.First(i), _model.First(i)], _matrix[_model.First(i) + 1, _model.First(i) + 1]));
        Matrix<double> all = _matrix + strength * gauge.TransposeThisAndMultiply(gauge);
        Vector<double> unit = all.Diagonal().Map(value => 1 / Math.Sqrt(value));
        Matrix<double> inverse = Scaled(Scaled(all, unit).Inverse(), unit);
        return [.. places.Select(place => place * inverse.TransposeAndMultiply(place))];
    }

    private static Matrix<double> Scaled(Matrix<double> matrix, Vector<double> unit) => matrix.MapIndexed((row, column, value) => value * unit[row] * unit[column]);

    // How a frame's column, row and angle (radians) follow the unknowns.
    private Matrix<double> PlaceBy(int frame)
    {
        var result = Matrix<double>.Build.Dense(3, _model.Count);
        for (int k = 0; k < _model.Own + _model.Shared; k++)
        {
            int column = k < _model.Own ? _model.First(frame) + k : _model.FirstShared + k - _model.Own;
            Placement less = _less[frame][k], more = _more[frame][k];
            result[0, column] = (more.X - less.X) / (2 * HalfStep);
            result[1, column] = (more.Y - less.Y) / (2 * HalfStep);
            result[2, column] = (more.Angle - less.Angle) / (2 * HalfStep);
        }
        return result;
    }

    // Every frame with each of its unknowns moved by a step, the shared ones last.
    private Placement[][] Stepped(double[] unknowns, double step)
    {
        double[] moved = [.. unknowns];
        var result = new Placement[_placements.Length][];
        for (int frame = 0; frame < result.Length; frame++)
        {
            result[frame] = new Placement[_model.Own + _model.Shared];
            for (int k = 0; k < result[frame].Length; k++)
            {
                int at = k < _model.Own ? _model.First(frame) + k : _model.FirstShared + k - _model.Own;
                moved[at] = unknowns[at] + step;
                result[frame][k] = _model.Place(frame, moved);
                moved[at] = unknowns[at];
            }
        }
        return result;
    }

    private void Add(Tie tie, double weight, TieRow row)
    {
        _tied[tie.A] = _tied[tie.B] = true;
        (double ex, double ey) = tie.Disagreement(_placements);
        row.Clear();
        Fill(row, tie.A, tie.Ax, tie.Ay, 1, 0);
        Fill(row, tie.B, tie.Bx, tie.By, -1, _model.Own);
        Information w = tie.Information.Scaled(weight);
        for (int i = 0; i < row.Count; i++)
        {
            double wx = w.Xx * row.X[i] + w.Xy * row.Y[i], wy = w.Xy * row.X[i] + w.Yy * row.Y[i];
            int r = row.Place[i];
            _right[r] -= wx * ex + wy * ey;
            for (int j = 0; j < row.Count; j++)
                _matrix[r, row.Place[j]] += wx * row.X[j] + wy * row.Y[j];
        }
    }

    // How a spot of a frame moves on the canvas with the frame's own unknowns and, added up, with the shared ones.
    private void Fill(TieRow row, int frame, double dx, double dy, double sign, int first)
    {
        for (int k = 0; k < _model.Own + _model.Shared; k++)
        {
            (double x1, double y1) = _less[frame][k].ToCanvas(dx, dy);
            (double x2, double y2) = _more[frame][k].ToCanvas(dx, dy);
            int at = k < _model.Own ? first + k : _model.Own + k;
            row.Place[at] = k < _model.Own ? _model.First(frame) + k : _model.FirstShared + k - _model.Own;
            row.X[at] += sign * (x2 - x1) / (2 * HalfStep);
            row.Y[at] += sign * (y2 - y1) / (2 * HalfStep);
        }
    }

    /// <summary>One tie's derivatives: the first frame's unknowns, the second's, the shared ones.</summary>
    private sealed class TieRow(MotionModel model)
    {
        public int Count { get; } = 2 * model.Own + model.Shared;

        public int[] Place { get; } = new int[2 * model.Own + model.Shared];

        public double[] X { get; } = new double[2 * model.Own + model.Shared];

        public double[] Y { get; } = new double[2 * model.Own + model.Shared];

        public void Clear()
        {
            Array.Clear(X);
            Array.Clear(Y);
        }
    }
}
