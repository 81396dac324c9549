using System.Buffers;
using Imbrex.Engine.Intake;
using MathNet.Numerics.Statistics;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Where two frames differ by more than noise, their edges and light that was not evened out explain: what a seam costs there, and which
/// cells something moved in.
/// </summary>
internal sealed class PairDifference
{
    /// <summary>What a cell costs a seam for each standard deviation of difference beyond <see cref="FreeOfCost"/>, and at most.</summary>
    private const float CostOfSigma = 64, MostCost = 3200, FreeOfCost = 2;

    /// <summary>Part of an edge's contrast that seams pass free: less than one would see, being masked by the edge itself.</summary>
    private const float EdgeForSeams = 0.03f;

    /// <summary>
    /// Part of the contrast round a cell that two frames may differ by though nothing moved: a lens a little out of focus, a place a little wrong.
    /// </summary>
    private const float EdgeForMotion = 0.1f;

    /// <summary>Standard deviations beyond which something moved: of the mean of 3 x 3 cells for a start, of one cell to go on.</summary>
    private const float Begin = 6, GoOn = 4;

    /// <summary>Codes that nobody sees, one hundredth of the range.</summary>
    private const float Visible = 650;

    /// <summary>Frames that differ over more than this part of what they share do not show a moving thing: they do not fit.</summary>
    private const double MostMoving = 0.4;

    private const byte Maybe = 1, Sure = 2, Moved = 4;

    private readonly ushort[] _costs;
    private readonly float[] _strength;
    private readonly byte[] _state;

    private PairDifference(SharedCells shared)
    {
        Shared = shared;
        int size = shared.Width * shared.Rows;
        (_costs, _strength, _state) = (new ushort[size], new float[size], new byte[size]);
    }

    public SharedCells Shared { get; }

    /// <summary>True where the frames differ nearly everywhere, so that nothing can be said of single things.</summary>
    public bool IsMisfit { get; private set; }

    /// <summary>What a shared cell costs a seam between the two.</summary>
    public int Cost(int column, int row) => _costs[Shared.At(column, row)];

    /// <summary>What the shared cells of a patch cost on average, or null where none is shared.</summary>
    public int? MeanCost(int patchColumn, int patchRow)
    {
        int sum = 0, count = 0;
        for (int row = patchRow << CellPicture.PatchShift; row < (patchRow + 1) << CellPicture.PatchShift; row++)
        {
            CellSpan span = Shared.Span(row).And(new(patchColumn << CellPicture.PatchShift, ((patchColumn + 1) << CellPicture.PatchShift) - 1));
            for (int column = span.First; column <= span.Last; column++, count++)
                sum += Cost(column, row);
        }
        return count == 0 ? null : sum / count;
    }

    /// <summary>Whether something moved in a shared cell.</summary>
    public bool IsMoving(int column, int row) => (_state[Shared.At(column, row)] & Moved) != 0;

    /// <summary>Root mean square over the channels of a shared cell's difference, codes.</summary>
    public float Strength(int column, int row) => _strength[Shared.At(column, row)];

    /// <summary>Compares the two frames of a pair.</summary>
    public static PairDifference Of(SharedCells shared)
    {
        var found = new PairDifference(shared);
        int size = shared.Width * shared.Rows;
        float[][] differences = [.. Enumerable.Range(0, Frame.Bands).Select(_ => ArrayPool<float>.Shared.Rent(size))];
        float[] contrasts = ArrayPool<float>.Shared.Rent(size);
        try
        {
            for (int band = 0; band < Frame.Bands; band++)
                found.Subtract(band, differences[band]);
            LocalContrast.Fill(shared, contrasts);
            float[][] noise = [.. differences.Select((difference, band) => NoiseByLevel(shared, band, difference))];
            found.Weigh(differences, contrasts, noise);
            found.FindMoving(differences, contrasts, noise);
        }
        finally
        {
            foreach (float[] difference in differences)
                ArrayPool<float>.Shared.Return(difference);
            ArrayPool<float>.Shared.Return(contrasts);
        }
        return found;
    }

    // First frame less second, less the smooth part of that.
    private void Subtract(int band, float[] difference)
    {
        PairBalance balance = PairBalance.Fit(Shared, band);
        for (int row = Shared.Top; row < Shared.Top + Shared.Rows; row++)
        {
            CellSpan span = Shared.Span(row);
            (float constant, float linear, float square) = balance.Row(row);
            for (int column = span.First; column <= span.Last; column++)
            {
                (int a, int b) = Shared.Codes(band, column, row);
                int x = column - Shared.Left;
                difference[Shared.At(column, row)] = a - b - (constant + x * (linear + x * square)) * (a + b) / 2;
            }
        }
    }

    // Standard deviation of the difference for eight steps of brightness, from its median: it holds noise and whatever is amiss everywhere.
    private static float[] NoiseByLevel(SharedCells shared, int band, float[] difference)
    {
        const int Levels = 8, MostSamples = 20_000;
        List<float>[] samples = [.. Enumerable.Range(0, Levels).Select(_ => new List<float>())];
        int step = Math.Max(1, shared.Count / MostSamples), next = 0;
        for (int row = shared.Top; row < shared.Top + shared.Rows; row++)
        {
            CellSpan span = shared.Span(row);
            for (; next < span.Length; next += step)
            {
                int column = span.First + next;
                samples[LevelOf(shared, column, row)].Add(Math.Abs(difference[shared.At(column, row)]));
            }
            next = Math.Max(0, next - span.Length);
        }
        const float Rounding = 8;
        float Sigma(IReadOnlyCollection<float> values) => MathF.Max(1.482602f * values.Median(), Rounding);
        int total = samples.Sum(level => level.Count);
        float all = Sigma([.. samples.SelectMany(level => level)]);
        // A step of brightness with few cells may hold nothing but what moved.
        return [.. samples.Select(level => level.Count < Math.Max(20, total / 20) ? all : Math.Min(Sigma(level), 3 * all))];
    }

    private static int LevelOf(SharedCells shared, int column, int row)
    {
        (int a, int b) = shared.Codes(1, column, row);
        return (a + b) >> 14;
    }

    private void Weigh(float[][] differences, float[] contrasts, float[][] noise)
    {
        for (int row = Shared.Top; row < Shared.Top + Shared.Rows; row++)
        {
            CellSpan span = Shared.Span(row);
            for (int column = span.First; column <= span.Last; column++)
            {
                int at = Shared.At(column, row), level = LevelOf(Shared, column, row);
                float edge = EdgeForSeams * contrasts[at], sum = 0, squares = 0;
                for (int band = 0; band < Frame.Bands; band++)
                {
                    float square = differences[band][at] * differences[band][at];
                    squares += square;
                    sum += square / (noise[band][level] * noise[band][level] + edge * edge);
                }
                _strength[at] = MathF.Sqrt(squares / Frame.Bands);
                _costs[at] = (ushort)Math.Clamp(CostOfSigma * (MathF.Sqrt(sum / Frame.Bands) - FreeOfCost), 0, MostCost);
            }
        }
    }

    private void FindMoving(float[][] differences, float[] contrasts, float[][] noise)
    {
        int sure = 0;
        var begin = new Stack<(int Column, int Row)>();
        for (int row = Shared.Top; row < Shared.Top + Shared.Rows; row++)
        {
            CellSpan span = Shared.Span(row);
            for (int column = span.First; column <= span.Last; column++)
            {
                int at = Shared.At(column, row), level = LevelOf(Shared, column, row);
                float edge = EdgeForMotion * contrasts[at];
                float sigma = MathF.Sqrt((noise[0][level] * noise[0][level] + noise[1][level] * noise[1][level] + noise[2][level] * noise[2][level]) / 3);
                if (_strength[at] > MathF.Max(GoOn * MathF.Sqrt(sigma * sigma + edge * edge), Visible))
                    _state[at] = Maybe;
                // The mean of nine has a third of the noise; half is kept for what is not quite independent.
                if (Smoothed(differences, column, row) <= MathF.Max(Begin * MathF.Sqrt(sigma * sigma / 4 + edge * edge), Visible))
                    continue;
                _state[at] |= Sure;
                sure++;
                begin.Push((column, row));
            }
        }
        IsMisfit = sure > MostMoving * Shared.Count;
        if (!IsMisfit)
            Spread(begin);
    }

    private float Smoothed(float[][] differences, int column, int row)
    {
        float r = 0, g = 0, b = 0;
        int count = 0;
        for (int y = row - 1; y <= row + 1; y++)
        {
            CellSpan span = Shared.Span(y).And(new(column - 1, column + 1));
            for (int x = span.First; x <= span.Last; x++, count++)
            {
                int at = Shared.At(x, y);
                (r, g, b) = (r + differences[0][at], g + differences[1][at], b + differences[2][at]);
            }
        }
        return MathF.Sqrt((r * r + g * g + b * b) / Frame.Bands) / count;
    }

    // From sure cells on over all that differ and hang together.
    private void Spread(Stack<(int Column, int Row)> cells)
    {
        while (cells.TryPop(out (int Column, int Row) cell))
        {
            int at = Shared.At(cell.Column, cell.Row);
            if ((_state[at] & Maybe) != 0)
                _state[at] |= Moved;
            for (int y = cell.Row - 1; y <= cell.Row + 1; y++)
            {
                CellSpan span = Shared.Span(y).And(new(cell.Column - 1, cell.Column + 1));
                for (int x = span.First; x <= span.Last; x++)
                {
                    if (_state[Shared.At(x, y)] == Maybe)
                    {
                        _state[Shared.At(x, y)] = Maybe | Sure;
                        cells.Push((x, y));
                    }
                }
            }
        }
    }
}
