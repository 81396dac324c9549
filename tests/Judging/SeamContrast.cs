namespace Imbrex.Judging;

/// <summary>
/// How visible seams are. A piece of seam is what of it lies in a square of 64 px; its contrast is |mean residual on one side - on the other| in
/// strips of 8 px, in units of the residual's standard deviation there.
/// </summary>
internal static class SeamContrast
{
    /// <summary>Side of the squares, px.</summary>
    public const int Side = 64;

    private const int Strip = 8;

    // Fewer pixels say nothing: a quarter of a strip.
    private const int LeastPixels = Side * Strip / 4;

    /// <summary>The largest contrast of the seams in one square, or a negative number where none of them is long enough.</summary>
    /// <param name="residual">Picture less truth, row after row.</param>
    /// <param name="labels">The frame that shows at each pixel.</param>
    /// <param name="width">Columns of both.</param>
    /// <param name="at">The square's first pixel.</param>
    public static double Largest(ReadOnlySpan<float> residual, ReadOnlySpan<byte> labels, int width, int at)
    {
        double largest = -1;
        Span<bool> seen = stackalloc bool[256];
        seen.Clear();
        for (int row = 0; row < Side; row++)
        {
            foreach (byte label in labels.Slice(at + row * width, Side))
                seen[label] = true;
        }
        for (int one = 0; one < 255; one++)
        {
            for (int other = one + 1; seen[one] && other < 255; other++)
            {
                if (seen[other])
                    largest = Math.Max(largest, Between(residual, labels, width, at, (byte)one, (byte)other));
            }
        }
        return largest;
    }

    /// <summary>What chance alone gives: the contrast of two strips beside the middle of a square without a seam, or a negative number where it has one.</summary>
    public static double Chance(ReadOnlySpan<float> residual, ReadOnlySpan<byte> labels, int width, int at)
    {
        byte only = labels[at];
        Tally left = default, right = default;
        for (int row = 0; row < Side; row++)
        {
            ReadOnlySpan<byte> line = labels.Slice(at + row * width, Side);
            if (only == 255 || line.IndexOfAnyExcept(only) >= 0)
                return -1;
            for (int i = 0; i < Strip; i++)
            {
                left.Add(residual[at + row * width + Side / 2 - 1 - i]);
                right.Add(residual[at + row * width + Side / 2 + i]);
            }
        }
        return Tally.Contrast(left, right);
    }

    private static double Between(ReadOnlySpan<float> residual, ReadOnlySpan<byte> labels, int width, int at, byte one, byte other)
    {
        Tally first = default, second = default;
        for (int row = 0; row < Side; row++)
        {
            for (int column = 0; column < Side; column++)
            {
                byte label = labels[at + row * width + column];
                if (label == one && IsNear(labels, width, at, row, column, other))
                    first.Add(residual[at + row * width + column]);
                else if (label == other && IsNear(labels, width, at, row, column, one))
                    second.Add(residual[at + row * width + column]);
            }
        }
        return Math.Min(first.Count, second.Count) < LeastPixels ? -1 : Tally.Contrast(first, second);
    }

    // Straight across or down within the square: a slanted seam's strip is a little narrower.
    private static bool IsNear(ReadOnlySpan<byte> labels, int width, int at, int row, int column, byte wanted)
    {
        for (int step = 1; step <= Strip; step++)
        {
            if ((column >= step && labels[at + row * width + column - step] == wanted)
                || (column + step < Side && labels[at + row * width + column + step] == wanted)
                || (row >= step && labels[at + (row - step) * width + column] == wanted)
                || (row + step < Side && labels[at + (row + step) * width + column] == wanted))
                return true;
        }
        return false;
    }

    private struct Tally
    {
        private double _sum, _squares;

        public int Count { get; private set; }

        public void Add(float value)
        {
            Count++;
            _sum += value;
            _squares += (double)value * value;
        }

        public static double Contrast(Tally a, Tally b)
        {
            double variance = (a._squares - a._sum * a._sum / a.Count + b._squares - b._sum * b._sum / b.Count) / (a.Count + b.Count - 2);
            return Math.Abs(a._sum / a.Count - b._sum / b.Count) / Math.Sqrt(Math.Max(variance, 1e-12));
        }
    }
}
