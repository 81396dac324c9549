using System.Numerics;

namespace Imbrex.Engine.Registration;

/// <summary>
/// A block ready to be matched: its gradients and its detail, with everything taken out of them that a change of light could explain (gain,
/// offset and a ramp across and down, as shading leaves it). What remains fixes the position; its sums are the information of
/// Robinson and Milanfar (IEEE TIP 13(9) 2004) after these nuisances are eliminated.
/// </summary>
internal sealed class BlockTemplate
{
    private readonly int _width, _height, _stride;
    private readonly float _level;
    private readonly float[] _gradientX, _gradientY, _detail;
    private readonly double _xx, _xy, _yy, _power;

    /// <summary>Prepares a block; its outermost pixels serve the gradients only.</summary>
    public BlockTemplate(GrayImage block)
    {
        (_width, _height, _stride) = (block.Width - 2, block.Height - 2, block.Width);
        int size = _width * _height;
        (_gradientX, _gradientY, _detail) = (new float[size], new float[size], new float[size]);
        _level = (float)block.Pixels.Average(p => (double)p);
        for (int row = 0; row < _height; row++)
        {
            ReadOnlySpan<float> above = block.Row(row), here = block.Row(row + 1), below = block.Row(row + 2);
            for (int column = 0, i = row * _width; column < _width; column++, i++)
            {
                _gradientX[i] = (here[column + 2] - here[column]) * 0.5f;
                _gradientY[i] = (below[column + 1] - above[column + 1]) * 0.5f;
                _detail[i] = here[column + 1] - _level;
            }
        }
        TakeOutRamp(_detail);
        TakeOutRamp(_gradientX);
        TakeOutRamp(_gradientY);
        _power = Dot(_detail, _detail);
        if (_power > 0)
        {
            TakeOut(_detail, Dot(_gradientX, _detail) / _power, _gradientX);
            TakeOut(_detail, Dot(_gradientY, _detail) / _power, _gradientY);
        }
        (_xx, _xy, _yy) = (Dot(_gradientX, _gradientX), Dot(_gradientX, _gradientY), Dot(_gradientY, _gradientY));
    }

    /// <summary>Whether the detail fixes both directions.</summary>
    public bool IsSolvable => _xx * _yy - _xy * _xy > 1e-6 * (_xx + _yy) * (_xx + _yy) && _xx + _yy > 1;

    /// <summary>Compares with the other picture, sampled where the block is believed to be.</summary>
    /// <param name="warped">The other picture's pixels, as many as the block has.</param>
    public BlockFit Compare(ReadOnlySpan<float> warped)
    {
        double sum = 0, across = 0, down = 0, square = 0, detail = 0, x = 0, y = 0;
        double middleX = (_width - 1) / 2.0, middleY = (_height - 1) / 2.0;
        for (int row = 0; row < _height; row++)
        {
            RowSums s = RowSums.Of(warped.Slice((row + 1) * _stride + 1, _width), _level,
                _detail.AsSpan(row * _width, _width), _gradientX.AsSpan(row * _width, _width), _gradientY.AsSpan(row * _width, _width));
            sum += s.Sum;
            across += s.Column - middleX * s.Sum;
            down += (row - middleY) * s.Sum;
            square += s.Square;
            detail += s.Detail;
            x += s.X;
            y += s.Y;
        }
        double n = (double)_width * _height, power = square - sum * sum / n - across * across / Spread(_width, _height) - down * down / Spread(_height, _width);
        double gain = _power > 0 ? detail / _power : 0;
        double det = (_xx * _yy - _xy * _xy) * gain;
        double left = Math.Max(power - gain * detail, 0) / n;
        return new(gain, power > 0 && _power > 0 ? detail / Math.Sqrt(power * _power) : 0, left, (_yy * x - _xy * y) / det, (_xx * y - _xy * x) / det);
    }

    /// <summary>The inverse covariance of a shift, in the block's own axes turned by an angle.</summary>
    /// <remarks>
    /// The noise is what the fit leaves, at least a tenth of an 8-bit step for what is modelled imperfectly. Smoothing left 3/8 of the noise each
    /// way, but alike in neighbouring pixels: to all but the finest detail it is as strong as it was before.
    /// </remarks>
    public Information Information(BlockFit fit, double angle)
    {
        double noise = Math.Max(fit.ResidualVariance, 25.7 * 25.7) * (8 * 8 / (3.0 * 3.0)), scale = fit.Gain * fit.Gain / noise;
        (double sin, double cos) = Math.SinCos(angle);
        double xx = cos * cos * _xx - 2 * sin * cos * _xy + sin * sin * _yy;
        double yy = sin * sin * _xx + 2 * sin * cos * _xy + cos * cos * _yy;
        double xy = sin * cos * (_xx - _yy) + (cos * cos - sin * sin) * _xy;
        return new(xx * scale, xy * scale, yy * scale);
    }

    // On a rectangular grid the constant and the two ramps are orthogonal to one another.
    private void TakeOutRamp(float[] values)
    {
        double sum = 0, across = 0, down = 0, middleX = (_width - 1) / 2.0, middleY = (_height - 1) / 2.0;
        for (int row = 0; row < _height; row++)
        {
            for (int column = 0; column < _width; column++)
            {
                double value = values[row * _width + column];
                sum += value;
                across += value * (column - middleX);
                down += value * (row - middleY);
            }
        }
        (double mean, double slopeX, double slopeY) = (sum / (_width * (double)_height), across / Spread(_width, _height), down / Spread(_height, _width));
        for (int row = 0; row < _height; row++)
        {
            for (int column = 0; column < _width; column++)
                values[row * _width + column] -= (float)(mean + slopeX * (column - middleX) + slopeY * (row - middleY));
        }
    }

    // Sum of squares of a centred ramp of so many steps, repeated over so many lines.
    private static double Spread(int steps, int lines) => lines * (steps * ((double)steps * steps - 1)) / 12;

    private static void TakeOut(float[] of, double factor, float[] from)
    {
        for (int i = 0; i < of.Length; i++)
            from[i] -= (float)(factor * of[i]);
    }

    private static double Dot(float[] a, float[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
            sum += a[i] * (double)b[i];
        return sum;
    }

    /// <summary>Sums over one row, in single precision within the row and in double beyond it.</summary>
    private readonly record struct RowSums(double Sum, double Column, double Square, double Detail, double X, double Y)
    {
        private static readonly Vector<float> Ramp = Vector.CreateSequence(0f, 1f);

        public static RowSums Of(ReadOnlySpan<float> warped, float level, ReadOnlySpan<float> detail, ReadOnlySpan<float> gradientX, ReadOnlySpan<float> gradientY)
        {
            Vector<float> sum = default, column = default, square = default, byDetail = default, x = default, y = default, at = Ramp;
            var middle = new Vector<float>(level);
            int i = 0;
            for (; i <= warped.Length - Vector<float>.Count; i += Vector<float>.Count)
            {
                Vector<float> w = new Vector<float>(warped[i..]) - middle;
                sum += w;
                column += w * at;
                square += w * w;
                byDetail += w * new Vector<float>(detail[i..]);
                x += w * new Vector<float>(gradientX[i..]);
                y += w * new Vector<float>(gradientY[i..]);
                at += new Vector<float>(Vector<float>.Count);
            }
            double s = Vector.Sum(sum), c = Vector.Sum(column), q = Vector.Sum(square), d = Vector.Sum(byDetail), gx = Vector.Sum(x), gy = Vector.Sum(y);
            for (; i < warped.Length; i++)
            {
                double w = warped[i] - level;
                s += w;
                c += w * i;
                q += w * w;
                d += w * detail[i];
                gx += w * gradientX[i];
                gy += w * gradientY[i];
            }
            return new(s, c, q, d, gx, gy);
        }
    }
}

/// <summary>How another picture compares with a block.</summary>
/// <param name="Gain">How much stronger its detail is.</param>
/// <param name="Correlation">Of its detail with the block's, -1 to 1.</param>
/// <param name="ResidualVariance">What gain, offset and ramp leave unexplained.</param>
/// <param name="StepX">How much further right the block's spot shows in it, px, to first order.</param>
/// <param name="StepY">How much further down.</param>
internal readonly record struct BlockFit(double Gain, double Correlation, double ResidualVariance, double StepX, double StepY);
