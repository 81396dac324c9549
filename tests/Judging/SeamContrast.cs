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

    /// <summary>The strips on both sides of a piece of seam, as places in its square, row after row.</summary>
    internal sealed record Piece(ushort[] One, ushort[] Other);

    /// <summary>The pieces of seam in a square, one for each two frames that meet there for long enough.</summary>
    /// <param name="labels">The frame that shows at each pixel, row after row; 255 for none.</param>
    /// <param name="width">Columns of the labels.</param>
    /// <param name="at">The square's first pixel.</param>
    public static IReadOnlyList<Piece> Pieces(ReadOnlySpan<byte> labels, int width, int at)
    {
        Span<bool> seen = stackalloc bool[256];
        seen.Clear();
        for (int row = 0; row < Side; row++)
        {
            foreach (byte label in labels.Slice(at + row * width, Side))
                seen[label] = true;
        }
        var pieces = new List<Piece>();
        for (int one = 0; one < 255; one++)
        {
            for (int other = one + 1; seen[one] && other < 255; other++)
            {
                if (seen[other] && Between(labels, width, at, (byte)one, (byte)other) is { } piece)
                    pieces.Add(piece);
            }
        }
        return pieces;
    }

    /// <summary>Whether one frame shows in a whole square.</summary>
    public static bool IsPlain(ReadOnlySpan<byte> labels, int width, int at)
    {
        byte only = labels[at];
        for (int row = 0; row < Side; row++)
        {
            if (only == 255 || labels.Slice(at + row * width, Side).ContainsAnyExcept(only))
                return false;
        }
        return true;
    }

    /// <summary>The contrast of a piece of seam.</summary>
    /// <param name="piece">Its strips.</param>
    /// <param name="residual">Picture less truth, row after row.</param>
    /// <param name="width">Columns of the residual.</param>
    /// <param name="at">The first pixel of the square to look at: the piece's own, or one without a seam, which tells what chance gives.</param>
    public static double Of(Piece piece, ReadOnlySpan<float> residual, int width, int at)
    {
        Tally one = Sum(piece.One, residual, width, at), other = Sum(piece.Other, residual, width, at);
        return Tally.Contrast(one, other);
    }

    private static Tally Sum(ushort[] places, ReadOnlySpan<float> residual, int width, int at)
    {
        Tally tally = default;
        foreach (ushort place in places)
            tally.Add(residual[at + place / Side * width + place % Side]);
        return tally;
    }

    private static Piece? Between(ReadOnlySpan<byte> labels, int width, int at, byte one, byte other)
    {
        List<ushort> first = [], second = [];
        for (int row = 0; row < Side; row++)
        {
            for (int column = 0; column < Side; column++)
            {
                byte label = labels[at + row * width + column];
                if (label == one && IsNear(labels, width, at, row, column, other))
                    first.Add((ushort)(row * Side + column));
                else if (label == other && IsNear(labels, width, at, row, column, one))
                    second.Add((ushort)(row * Side + column));
            }
        }
        return Math.Min(first.Count, second.Count) < LeastPixels ? null : new([.. first], [.. second]);
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
