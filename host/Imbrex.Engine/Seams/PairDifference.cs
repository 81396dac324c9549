using System.Buffers;
using System.Numerics.Tensors;
using System.Runtime.CompilerServices;
using Imbrex.Engine.Intake;

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
    private float[] _strength;
    private byte[] _state;

    private PairDifference(SharedCells shared, float[] strength, byte[] state) =>
        (Shared, _costs, _strength, _state) = (shared, new ushort[shared.Width * shared.Rows], strength, state);

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
    public bool IsMoving(int column, int row) => _state.Length > 0 && (_state[Shared.At(column, row)] & Moved) != 0;

    /// <summary>Root mean square over the channels of a shared cell's difference, codes; only of a pair in which something moved.</summary>
    public float Strength(int column, int row) => _strength[Shared.At(column, row)];

    /// <summary>Compares the two frames of a pair.</summary>
    public static PairDifference Of(SharedCells shared)
    {
        int size = shared.Width * shared.Rows;
        float[] strength = ArrayPool<float>.Shared.Rent(size);
        byte[] state = ArrayPool<byte>.Shared.Rent(size);
        var found = new PairDifference(shared, strength, state);
        CellPlane[] differences = [.. Enumerable.Range(0, Frame.Bands).Select(_ => shared.NewPlane())];
        using CellPlane contrasts = shared.NewPlane(), smoothed = shared.NewPlane();
        try
        {
            for (int band = 0; band < Frame.Bands; band++)
                found.Subtract(band, differences[band]);
            LocalContrast.Fill(shared, contrasts);
            float[][] noise = [.. differences.Select((difference, band) => PairNoise.ByLevel(shared, band, difference))];
            Smooth(shared, differences, smoothed);
            Array.Clear(strength, 0, size);
            Array.Clear(state, 0, size);
            found.FindMoving(found.Weigh(differences, contrasts, smoothed, noise));
            found.KeepWhatMoved(size);
        }
        finally
        {
            foreach (CellPlane difference in differences)
                difference.Dispose();
            ArrayPool<float>.Shared.Return(strength);
            ArrayPool<byte>.Shared.Return(state);
        }
        return found;
    }

    // First frame less second, less the smooth part of that; 0 where nothing is shared.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Subtract(int band, CellPlane difference)
    {
        PairBalance balance = PairBalance.Fit(Shared, band);
        difference.All.Clear();
        for (int y = 0; y < Shared.Rows; y++)
        {
            CellSpan span = Shared.Span(Shared.Top + y);
            if (span.IsEmpty)
                continue;
            (float constant, float linear, float square) = balance.Row(Shared.Top + y);
            ReadOnlySpan<ushort> a = Shared.InA.Row(band, span, Shared.Top + y), b = Shared.InB.Row(band, span, Shared.Top + y);
            int first = span.First - Shared.Left;
            Span<float> row = difference.Row(y).Slice(first, span.Length);
            for (int x = 0; x < row.Length; x++)
                row[x] = a[x] - b[x] - (constant + (first + x) * (linear + (first + x) * square)) * (a[x] + b[x]) / 2;
        }
    }

    // Root mean square over the channels of the differences' mean over 3 x 3 shared cells.
    private static void Smooth(SharedCells shared, CellPlane[] differences, CellPlane smoothed)
    {
        using CellPlane sum = shared.NewPlane(), ones = shared.NewPlane();
        smoothed.All.Clear();
        foreach (CellPlane difference in differences)
        {
            difference.SumOfNine(sum);
            TensorPrimitives.MultiplyAdd(sum.All, sum.All, smoothed.All, smoothed.All);
        }
        ones.All.Clear();
        for (int y = 0; y < shared.Rows; y++)
        {
            CellSpan span = shared.Span(shared.Top + y);
            ones.Row(y).Slice(span.IsEmpty ? 0 : span.First - shared.Left, span.Length).Fill(1);
        }
        ones.SumOfNine(sum);
        // A cell that is not shared may have no shared neighbour: its value is not used.
        TensorPrimitives.Max(sum.All, 1f, sum.All);
        TensorPrimitives.Multiply(smoothed.All, 1f / Frame.Bands, smoothed.All);
        TensorPrimitives.Sqrt(smoothed.All, smoothed.All);
        TensorPrimitives.Divide(smoothed.All, sum.All, smoothed.All);
    }

    // Costs, strengths, and what may have moved; returns the cells where something surely did.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private Stack<(int Column, int Row)> Weigh(CellPlane[] differences, CellPlane contrasts, CellPlane smoothed, float[][] noise)
    {
        var sure = new Stack<(int Column, int Row)>();
        for (int y = 0; y < Shared.Rows; y++)
        {
            CellSpan span = Shared.Span(Shared.Top + y);
            if (span.IsEmpty)
                continue;
            ReadOnlySpan<ushort> greenA = Shared.InA.Row(1, span, Shared.Top + y), greenB = Shared.InB.Row(1, span, Shared.Top + y);
            int first = span.First - Shared.Left;
            ReadOnlySpan<float> red = differences[0].Row(y)[first..], green = differences[1].Row(y)[first..], blue = differences[2].Row(y)[first..];
            ReadOnlySpan<float> contrast = contrasts.Row(y)[first..], smooth = smoothed.Row(y)[first..];
            int at = y * Shared.Width + first;
            for (int x = 0; x < greenA.Length; x++, at++)
            {
                int level = PairNoise.LevelOf(greenA[x], greenB[x]);
                (float noiseR, float noiseG, float noiseB) = (noise[0][level], noise[1][level], noise[2][level]);
                (float r, float g, float b) = (red[x] * red[x], green[x] * green[x], blue[x] * blue[x]);
                float masked = Squared(EdgeForSeams * contrast[x]), allowed = Squared(EdgeForMotion * contrast[x]), variance = (noiseR + noiseG + noiseB) / 3;
                float sigmas = MathF.Sqrt((r / (noiseR + masked) + g / (noiseG + masked) + b / (noiseB + masked)) / Frame.Bands);
                _costs[at] = (ushort)Math.Clamp(CostOfSigma * (sigmas - FreeOfCost), 0, MostCost);
                _strength[at] = MathF.Sqrt((r + g + b) / Frame.Bands);
                if (_strength[at] > MathF.Max(GoOn * MathF.Sqrt(variance + allowed), Visible))
                    _state[at] = Maybe;
                // The mean of nine has a third of the noise; half is kept for what is not quite independent.
                if (smooth[x] <= MathF.Max(Begin * MathF.Sqrt(variance / 4 + allowed), Visible))
                    continue;
                _state[at] |= Sure;
                sure.Push((span.First + x, Shared.Top + y));
            }
        }
        return sure;
    }

    private static float Squared(float value) => value * value;

    private void FindMoving(Stack<(int Column, int Row)> sure)
    {
        IsMisfit = sure.Count > MostMoving * Shared.Count;
        if (!IsMisfit)
            Spread(sure);
    }

    // Most pairs show nothing that moved; only what seams cost is then kept.
    private void KeepWhatMoved(int size)
    {
        bool moved = _state.AsSpan(0, size).ContainsAnyInRange(Moved, byte.MaxValue);
        (_strength, _state) = moved ? (_strength[..size], _state[..size]) : ([], []);
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
