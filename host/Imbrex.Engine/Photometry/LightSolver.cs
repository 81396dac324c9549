using MathNet.Numerics.LinearAlgebra;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Finds one channel's gains, shading and glare together from what neighbours share, by robust least squares (Tukey's weights, Gauss-Newton) in
/// the logarithm of light: ln((a - glare of A) / (b - glare of B)) = shading at A - shading at B - ln gain A + ln gain B.
/// </summary>
/// <remarks>
/// After Goldman, IEEE TPAMI 32(12) 2010 (from memory). Falloff fixed to the image plane is the same in both frames and cannot be seen here; a linear
/// ramp can be told from gains only if some frame was turned, or if exposures are known (reference sheet 3.3); glare that all frames have
/// alike cannot be seen where they show equal light. A weak prior leaves such things at 0; glare is never below 0, or the frames with least of it would
/// be given less than none.
/// </remarks>
internal sealed class LightSolver
{
    private const int Rounds = 12;
    private const double TukeyLimit = 4.685;

    /// <summary>Rounds end when no unknown moves by more: a hundred times finer than gains can be known.</summary>
    private const double Settled = 1e-6;

    /// <summary>Ridge that holds the logarithm of gains, far below any measurement.</summary>
    private const double GainRidge = 1e-3;

    /// <summary>
    /// Prior standard deviations of the shading's coefficients, ln of light. Linear ones must be all but 0 unless turned frames show them: rotations by
    /// a fraction of a degree would show them too, but multiply every error of the model by hundreds.
    /// </summary>
    private const double CurvedSigma = 0.2, OffCentreSigma = 0.02, LinearSigma = 0.003, SeenLinearSigma = 0.1;

    /// <summary>Prior standard deviation of glare, as a part of mean light.</summary>
    private const double GlareSigma = 0.01;

    /// <summary>Glare is never taken to be more than this part of a patch's light.</summary>
    private const double MostGlare = 0.8;

    private readonly int _frames;
    private readonly IReadOnlyList<PatchRow> _rows;
    private readonly LightModel _model;
    private readonly bool _linearSeen;
    private readonly double _meanLight;
    private readonly int _shadingAt, _glareAt, _unknowns;

    private LightSolver(int frames, IReadOnlyList<PatchRow> rows, LightModel model, bool linearSeen)
    {
        (_frames, _rows, _model, _linearSeen) = (frames, rows, model, linearSeen);
        _meanLight = rows.Count == 0 ? 1 : rows.Average(row => (row.InA + row.InB) / 2);
        _shadingAt = model.Gains ? frames : 0;
        _glareAt = _shadingAt + (model.Shading ? SensorShading.Terms.Count : 0);
        _unknowns = _glareAt + (model.Glare ? frames : 0);
    }

    /// <summary>Solves one channel.</summary>
    /// <param name="frames">Number of frames.</param>
    /// <param name="rows">The patches.</param>
    /// <param name="model">What is sought.</param>
    /// <param name="linearSeen">Whether a linear ramp can be told from gains.</param>
    /// <param name="fixedWeights">Weights to keep, so that models can be compared; null to find them.</param>
    public static LightSolution Solve(int frames, IReadOnlyList<PatchRow> rows, LightModel model, bool linearSeen, double[]? fixedWeights = null) =>
        new LightSolver(frames, rows, model, linearSeen).Solve(fixedWeights);

    private LightSolution Solve(double[]? fixedWeights)
    {
        var state = new double[_unknowns];
        if (_model.Gains)
            GainStart.Solve(_frames, _rows).CopyTo(state, 0);
        var weights = new double[_rows.Count];
        Array.Fill(weights, 1);
        fixedWeights?.CopyTo(weights, 0);
        double scale = fixedWeights is null ? Reweight(state, weights) : 1;
        for (int round = 0; round < Rounds && _unknowns > 0 && _rows.Count > 0; round++)
        {
            double[] before = state;
            state = Step(state, weights, scale);
            if (fixedWeights is null)
                scale = Reweight(state, weights);
            if (state.Zip(before, (now, then) => Math.Abs(now - then)).Max() < Settled)
                break;
        }
        return Describe(state, weights);
    }

    private LightSolution Describe(double[] state, double[] weights)
    {
        double squares = 0;
        for (int k = 0; k < _rows.Count; k++)
            squares += weights[k] * Math.Pow(Residual(_rows[k], state) / _rows[k].Sigma, 2);
        double[] gains = _model.Gains ? state[.._frames] : new double[_frames];
        double mean = gains.Average();
        return new([.. gains.Select(gain => gain - mean)], _model.Shading ? state[_shadingAt.._glareAt] : [],
            _model.Glare ? [.. state[_glareAt..].Select(glare => glare * _meanLight)] : [], weights, squares, _unknowns);
    }

    private double Residual(PatchRow row, double[] state)
    {
        double left = Math.Log(Light(row.InA, row.A, state) / Light(row.InB, row.B, state)) + row.Known;
        if (_model.Gains)
            left += state[row.A] - state[row.B];
        for (int i = 0; _model.Shading && i < row.Terms.Length; i++)
            left -= row.Terms[i] * state[_shadingAt + i];
        return left;
    }

    private double Light(double light, int frame, double[] state) =>
        _model.Glare ? Math.Max(light - state[_glareAt + frame] * _meanLight, (1 - MostGlare) * light) : light;

    // One step of Gauss-Newton from the state to the least of the sum as it looks from there. Plain arrays: this is summed over every patch.
    private double[] Step(double[] state, double[] weights, double scale)
    {
        double[] matrix = new double[_unknowns * _unknowns], right = new double[_unknowns];
        for (int i = 0; i < _unknowns; i++)
            matrix[i * _unknowns + i] = Prior(i);
        Span<(int At, double Value)> slopes = stackalloc (int, double)[4 + SensorShading.Terms.Count];
        for (int k = 0; k < _rows.Count; k++)
        {
            PatchRow row = _rows[k];
            if (weights[k] == 0)
                continue;
            int count = Slopes(row, state, slopes);
            double w = weights[k] / (scale * scale * row.Sigma * row.Sigma), left = Residual(row, state);
            // The residual as it would be at 0, if it changed evenly.
            for (int i = 0; i < count; i++)
                left -= slopes[i].Value * state[slopes[i].At];
            for (int i = 0; i < count; i++)
            {
                double weighted = w * slopes[i].Value;
                right[slopes[i].At] -= weighted * left;
                for (int j = 0; j < count; j++)
                    matrix[slopes[i].At * _unknowns + slopes[j].At] += weighted * slopes[j].Value;
            }
        }
        return BoundedSolver.Solve(Matrix<double>.Build.Dense(_unknowns, _unknowns, matrix), Vector<double>.Build.Dense(right), free: _glareAt).ToArray();
    }

    // How the residual changes with the unknowns.
    private int Slopes(PatchRow row, double[] state, Span<(int At, double Value)> slopes)
    {
        int count = 0;
        if (_model.Gains)
        {
            slopes[count++] = (row.A, 1);
            slopes[count++] = (row.B, -1);
        }
        for (int i = 0; _model.Shading && i < row.Terms.Length; i++)
            slopes[count++] = (_shadingAt + i, -row.Terms[i]);
        if (_model.Glare)
        {
            slopes[count++] = (_glareAt + row.A, -_meanLight / Light(row.InA, row.A, state));
            slopes[count++] = (_glareAt + row.B, _meanLight / Light(row.InB, row.B, state));
        }
        return count;
    }

    private double Prior(int unknown)
    {
        if (unknown < _shadingAt)
            return GainRidge;
        if (unknown >= _glareAt)
            return 1 / (GlareSigma * GlareSigma);
        double sigma = SensorShading.Terms[unknown - _shadingAt] switch
        {
            "x" or "y" => _linearSeen ? SeenLinearSigma : LinearSigma,
            "xr2" or "yr2" => OffCentreSigma,
            _ => CurvedSigma,
        };
        return 1 / (sigma * sigma);
    }

    private double Reweight(double[] state, double[] weights)
    {
        if (_rows.Count == 0)
            return 1;
        double[] left = [.. _rows.Select(row => Math.Abs(Residual(row, state)) / row.Sigma)];
        double[] sorted = [.. left.Order()];
        double scale = Math.Max(1.482602 * sorted[sorted.Length / 2], 0.3);
        for (int i = 0; i < left.Length; i++)
        {
            double u = left[i] / (TukeyLimit * scale);
            weights[i] = u < 1 ? (1 - u * u) * (1 - u * u) : 0;
        }
        return scale;
    }
}
