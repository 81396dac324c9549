namespace Imbrex.Engine.Registration;

/// <summary>A picture with holes: where nothing is shown, values are 0. Its memory is used again for the next.</summary>
internal sealed class Masked
{
    private float[] _values = [], _shown = [];

    public int Width { get; private set; }

    public int Height { get; private set; }

    /// <summary>Its values, row after row; there may be more room behind them.</summary>
    public float[] Values => _values;

    /// <summary>1 where the picture shows something, 0 elsewhere.</summary>
    public float[] Shown => _shown;

    /// <summary>Samples a picture on a grid, linearly between its pixels.</summary>
    /// <param name="source">The picture.</param>
    /// <param name="width">Columns of the grid.</param>
    /// <param name="height">Rows of the grid.</param>
    /// <param name="x">Source column of the grid's first place.</param>
    /// <param name="y">Source row of it.</param>
    /// <param name="acrossX">What one column adds to the source column.</param>
    /// <param name="acrossY">What one column adds to the source row.</param>
    /// <param name="downX">What one row adds to the source column.</param>
    /// <param name="downY">What one row adds to the source row.</param>
    public void Sample(IGreyPicture source, int width, int height, double x, double y, double acrossX, double acrossY, double downX, double downY)
    {
        (Width, Height) = (width, height);
        MatchBench.Room(ref _values, width * height).AsSpan(0, width * height).Clear();
        MatchBench.Room(ref _shown, width * height).AsSpan(0, width * height).Clear();
        double lastX = acrossX * (width - 1), lastY = acrossY * (width - 1), endX = downX * (height - 1), endY = downY * (height - 1);
        if (Needed(x, lastX, endX, source.Width) is not { } columns || Needed(y, lastY, endY, source.Height) is not { } rows)
            return;
        using GreyPart part = source.Read(new(columns.First, rows.First, columns.Count, rows.Count));
        float[] p = part.Pixels;
        int stride = part.Area.Width, origin = part.At(0, 0), right = source.Width > 1 ? 1 : 0, below = source.Height > 1 ? stride : 0;
        for (int row = 0; row < height; row++)
        {
            for (int column = 0; column < width; column++)
            {
                double sx = x + column * acrossX + row * downX, sy = y + column * acrossY + row * downY;
                // A rounding error must not cost the last row or column.
                (sx, sy) = (Math.Clamp(sx, Math.Min(sx + 1e-6, 0), Math.Max(sx - 1e-6, source.Width - 1)), Math.Clamp(sy, Math.Min(sy + 1e-6, 0), Math.Max(sy - 1e-6, source.Height - 1)));
                if (sx < 0 || sy < 0 || sx > source.Width - 1 || sy > source.Height - 1)
                    continue;
                (int ix, int iy) = (Math.Min((int)sx, Math.Max(source.Width - 2, 0)), Math.Min((int)sy, Math.Max(source.Height - 2, 0)));
                (float fx, float fy) = ((float)(sx - ix), (float)(sy - iy));
                int at = origin + iy * stride + ix;
                float upper = p[at] + fx * (p[at + right] - p[at]), lower = p[at + below] + fx * (p[at + below + right] - p[at + below]);
                _values[row * width + column] = upper + fy * (lower - upper);
                _shown[row * width + column] = 1;
            }
        }
    }

    // The columns (or rows) of a picture that a grid is sampled from, with one more on each side; null for none.
    private static (int First, int Count)? Needed(double start, double across, double down, int size)
    {
        double least = start + Math.Min(across, 0) + Math.Min(down, 0), most = start + Math.Max(across, 0) + Math.Max(down, 0);
        int first = (int)Math.Max(Math.Floor(least) - 1, 0), last = (int)Math.Min(Math.Ceiling(most) + 1, size - 1);
        return last >= first ? (first, last - first + 1) : null;
    }

    /// <summary>
    /// Smooths by [1 2 1]/4 both ways over what is shown: reduction by means leaves detail that falls between pixels differently in two frames, and
    /// would make true fits look worse than false ones.
    /// </summary>
    public void Smooth()
    {
        SmoothLines(Height, Width, Width, 1);
        SmoothLines(Width, Height, 1, Width);
    }

    private void SmoothLines(int lines, int length, int lineStep, int step)
    {
        for (int line = 0; line < lines; line++)
        {
            float before = 0, shownBefore = 0;
            for (int i = 0, at = line * lineStep; i < length; i++, at += step)
            {
                float here = Values[at], shown = Shown[at];
                float after = i + 1 < length ? Values[at + step] : 0, shownAfter = i + 1 < length ? Shown[at + step] : 0;
                if (shown > 0)
                    Values[at] = (before + 2 * here + after) / (shownBefore + 2 * shown + shownAfter);
                (before, shownBefore) = (here, shown);
            }
        }
    }

    /// <summary>Takes off each pixel the mean of what is shown in a box around it.</summary>
    public void TakeOffMeans(int reach, MatchBench bench)
    {
        (double[] sums, int[] counts) = bench.Means((Width + 1) * (Height + 1));
        Array.Clear(sums, 0, Width + 1);
        Array.Clear(counts, 0, Width + 1);
        for (int row = 0; row < Height; row++)
        {
            double sum = 0;
            int count = 0;
            (sums[(row + 1) * (Width + 1)], counts[(row + 1) * (Width + 1)]) = (0, 0);
            for (int column = 0; column < Width; column++)
            {
                sum += Values[row * Width + column];
                count += (int)Shown[row * Width + column];
                int at = (row + 1) * (Width + 1) + column + 1;
                (sums[at], counts[at]) = (sums[at - Width - 1] + sum, counts[at - Width - 1] + count);
            }
        }
        for (int row = 0; row < Height; row++)
        {
            int top = Math.Max(0, row - reach) * (Width + 1), bottom = Math.Min(Height, row + reach + 1) * (Width + 1);
            for (int column = 0; column < Width; column++)
            {
                if (Shown[row * Width + column] == 0)
                    continue;
                int left = Math.Max(0, column - reach), right = Math.Min(Width, column + reach + 1);
                double sum = sums[bottom + right] - sums[bottom + left] - sums[top + right] + sums[top + left];
                int count = counts[bottom + right] - counts[bottom + left] - counts[top + right] + counts[top + left];
                Values[row * Width + column] -= (float)(sum / count);
            }
        }
    }
}
