namespace Imbrex.Engine.Registration;

/// <summary>
/// Fits a block's model to another picture by weighted least squares; cells that fit much worse than most count less, so that what moved in a
/// part of the block does not pull at it.
/// </summary>
internal sealed class BlockFit
{
    /// <summary>A cell is suspect when it leaves more than this many times what the quieter cells leave, and more than a share of its own detail.</summary>
    private const double NoiseLimit = 6, DetailLimit = 0.05;

    /// <summary>Least noise, a tenth of an 8-bit step after smoothing: what is modelled imperfectly.</summary>
    private const double LeastVariance = 10.5 * 10.5;

    /// <summary>As many cells as the expected scatter counts for beside the measured one.</summary>
    private const double ExpectedCells = 8;

    /// <summary>Most of a block's gradients that is taken for noise: more would leave the shift's slope to chance.</summary>
    private const double MostNoise = 0.6;

    private const int N = BlockModel.Size;

    private readonly BlockModel _model;
    private double[] _products = [], _squares = [], _weights = [], _left = [], _noise = [];
    private readonly double[] _gram = new double[N * N], _inverse = new double[N * N], _right = new double[N], _parameters = new double[N];

    /// <summary>Prepares a worker.</summary>
    /// <param name="model">What is fitted, block after block.</param>
    public BlockFit(BlockModel model) => _model = model;

    /// <summary>Begins with the block that the model was prepared for; all its cells count alike.</summary>
    public void Begin()
    {
        MatchBench.Room(ref _products, N * Cells);
        MatchBench.Room(ref _squares, Cells);
        MatchBench.Room(ref _left, Cells);
        MatchBench.Room(ref _noise, Cells);
        MatchBench.Room(ref _weights, Cells).AsSpan(0, Cells).Fill(1);
    }

    private int Cells => _model.Cells;

    /// <summary>How much stronger the other picture's detail is.</summary>
    public double Gain => _parameters[BlockModel.Gain];

    /// <summary>How much further right the block's spot shows in the other picture, px, to first order.</summary>
    public double StepX => -_parameters[BlockModel.ShiftX] / Gain;

    /// <summary>How much further down.</summary>
    public double StepY => -_parameters[BlockModel.ShiftY] / Gain;

    /// <summary>The part of the pixels that count, 0 to 1.</summary>
    public double Used
    {
        get
        {
            double used = 0, all = 0;
            for (int cell = 0; cell < Cells; cell++)
            {
                used += _weights[cell] * _model.Pixels(cell);
                all += _model.Pixels(cell);
            }
            return used / all;
        }
    }

    /// <summary>Fits; false where the block's detail does not fix both directions.</summary>
    /// <param name="picture">The other picture, sampled where the block is believed to be.</param>
    public bool Solve(ReadOnlySpan<float> picture)
    {
        _model.Compare(picture, _products, _squares);
        Array.Clear(_gram);
        Array.Clear(_right);
        for (int cell = 0; cell < Cells; cell++)
        {
            double weight = _weights[cell];
            if (weight == 0)
                continue;
            ReadOnlySpan<double> gram = _model.Gram(cell);
            for (int i = 0; i < N * N; i++)
                _gram[i] += weight * gram[i];
            for (int i = 0; i < N; i++)
                _right[i] += weight * _products[cell * N + i];
        }
        if (!SmallMatrix.TryInvert(_gram, _inverse, N))
            return false;
        SmallMatrix.Multiply(_inverse, _right, _parameters, N);
        for (int cell = 0; cell < Cells; cell++)
            _left[cell] = Left(cell);
        return true;
    }

    /// <summary>Weighs the cells anew by what the last fit left.</summary>
    public void Reweight()
    {
        Span<double> noise = _noise.AsSpan(0, Cells);
        for (int cell = 0; cell < noise.Length; cell++)
            noise[cell] = _left[cell] / _model.Pixels(cell);
        noise.Sort();
        double usual = Math.Max(noise[noise.Length / 4], LeastVariance);
        for (int cell = 0; cell < Cells; cell++)
        {
            double detail = Gain * Gain * _model.Gram(cell)[BlockModel.Gain * N + BlockModel.Gain];
            double limit = NoiseLimit * usual * _model.Pixels(cell) + DetailLimit * detail;
            _weights[cell] = _left[cell] <= limit ? 1 : limit / _left[cell] * (limit / _left[cell]);
        }
    }

    /// <summary>The part of the other picture's detail that the block explains, as a correlation, 0 to 1.</summary>
    public double Correlation
    {
        get
        {
            const int First = BlockModel.Constant, Light = N - First;
            Span<double> gram = stackalloc double[Light * Light], inverse = stackalloc double[Light * Light], solution = stackalloc double[Light];
            for (int i = 0; i < Light; i++)
            {
                for (int j = 0; j < Light; j++)
                    gram[i * Light + j] = _gram[(First + i) * N + First + j];
            }
            if (!SmallMatrix.TryInvert(gram, inverse, Light))
                return 0;
            SmallMatrix.Multiply(inverse, _right.AsSpan(First), solution, Light);
            double all = 0, left = 0;
            for (int cell = 0; cell < Cells; cell++)
                (all, left) = (all + _weights[cell] * _squares[cell], left + _weights[cell] * _left[cell]);
            for (int i = 0; i < Light; i++)
                all -= solution[i] * _right[First + i];
            return all <= 0 ? 0 : Math.Sqrt(Math.Max(0, 1 - left / all));
        }
    }

    /// <summary>The inverse covariance of the shift, in the block's own axes turned by an angle, or null where there is none.</summary>
    /// <remarks>
    /// From the scatter of the cells' scores (White, Econometrica 48(4) 1980, from memory): noise that is smoothed, or stronger in places,
    /// and what does not fit are counted as they are. Beside it the expected scatter of smoothed noise counts for a few cells, since few cells scatter little by chance.
    /// </remarks>
    public Information? Information(double angle)
    {
        Span<double> scatter = stackalloc double[N * N], score = stackalloc double[N], slope = stackalloc double[N * N];
        scatter.Clear();
        double left = 0, pixels = 0, used = 0;
        for (int cell = 0; cell < Cells; cell++)
        {
            double weight = _weights[cell];
            ReadOnlySpan<double> gram = _model.Gram(cell);
            for (int i = 0; i < N; i++)
            {
                double fitted = 0;
                for (int j = 0; j < N; j++)
                    fitted += gram[i * N + j] * _parameters[j];
                score[i] = weight * (_products[cell * N + i] - fitted);
            }
            for (int i = 0; i < N; i++)
            {
                for (int j = 0; j < N; j++)
                    scatter[i * N + j] += score[i] * score[j];
            }
            (left, pixels, used) = (left + weight * _left[cell], pixels + weight * _model.Pixels(cell), used + weight);
        }
        // What the parameters absorb is added back.
        double absorbed = used > N + 1 ? used / (used - N / 2.0) : 2;
        double expected = Math.Max(left / pixels, LeastVariance) * BlockMatch.SmoothingKinship;
        double measured = used / (used + ExpectedCells);
        for (int i = 0; i < N * N; i++)
            scatter[i] = measured * absorbed * scatter[i] + (1 - measured) * expected * _gram[i];
        if (!TryInvertWithoutNoise(left / pixels / (1 + Gain * Gain), slope))
            return null;
        // Covariance = inverse * scatter * inverse, of which only the shift's block is wanted.
        double xx = Form(slope, scatter, 0, 0), xy = Form(slope, scatter, 0, 1), yy = Form(slope, scatter, 1, 1), gain = Gain * Gain, det = (xx * yy - xy * xy) / gain;
        if (!(det > 0))
            return null;
        (double a, double b, double c) = (yy / det, -xy / det, xx / det);
        (double sin, double cos) = Math.SinCos(angle);
        var turned = new Information(cos * cos * a - 2 * sin * cos * b + sin * sin * c, sin * cos * (a - c) + (cos * cos - sin * sin) * b, sin * sin * a + 2 * sin * cos * b + cos * cos * c);
        return turned.IsPositive ? turned : null;
    }

    // The block's own noise, for equal gains half of what is left, adds to the strength of its detail and gradients, which would make the shift look surer than it
    // is (errors in variables: Fuller, Measurement Error Models, 1987, from memory).
    private bool TryInvertWithoutNoise(double noise, Span<double> inverse)
    {
        const int Light = N - BlockModel.Constant;
        Span<double> clean = stackalloc double[N * N];
        _gram.CopyTo(clean);
        double pixels = _gram[BlockModel.Constant * N + BlockModel.Constant];
        noise = Math.Min(noise, MostNoise * Math.Min(_gram[0], _gram[N + 1]) / BlockModel.GradientNoise / pixels);
        clean[0] -= noise * BlockModel.GradientNoise * pixels;
        clean[N + 1] -= noise * BlockModel.GradientNoise * pixels;
        for (int i = 0; i < Light; i++)
        {
            for (int j = 0; j < Light; j++)
                clean[(BlockModel.Gain + i) * N + BlockModel.Gain + j] -= noise * _gram[(BlockModel.Constant + i) * N + BlockModel.Constant + j];
        }
        return SmallMatrix.TryInvert(clean, inverse, N);
    }

    private static double Form(ReadOnlySpan<double> inverse, ReadOnlySpan<double> scatter, int row, int column)
    {
        double sum = 0;
        for (int i = 0; i < N; i++)
        {
            for (int j = 0; j < N; j++)
                sum += inverse[row * N + i] * scatter[i * N + j] * inverse[j * N + column];
        }
        return sum;
    }

    // Sum of squares that the fit leaves in a cell.
    private double Left(int cell)
    {
        ReadOnlySpan<double> gram = _model.Gram(cell);
        double left = _squares[cell];
        for (int i = 0; i < N; i++)
        {
            double sum = -2 * _products[cell * N + i];
            for (int j = 0; j < N; j++)
                sum += gram[i * N + j] * _parameters[j];
            left += _parameters[i] * sum;
        }
        return Math.Max(left, 0);
    }
}
