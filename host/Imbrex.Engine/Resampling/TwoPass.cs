using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Resampling;

/// <summary>Rows of a source, asked for once each, from top to bottom.</summary>
internal interface ISourceRows
{
    /// <summary>Values from a plane's row to the next plane's.</summary>
    int Stride { get; }

    /// <summary>A row of the first plane; the other planes' follow <see cref="Stride"/> values apart. Valid until the next call.</summary>
    ReadOnlySpan<float> Row(int row);
}

/// <summary>Rows of a target, filled from top to bottom.</summary>
internal interface ITargetRows
{
    /// <summary>Fills the next row.</summary>
    /// <param name="row">The row.</param>
    /// <param name="target">From the first plane's row on.</param>
    /// <param name="stride">Values from a plane's row to the next plane's.</param>
    void FillRow(int row, Span<float> target, int stride);
}

/// <summary>The memory of a <see cref="TwoPass{TRows}"/>, to be used again.</summary>
internal sealed class TwoPassBench
{
    private float[] _window = [];

    /// <summary>At least so many values.</summary>
    public float[] Window(int length) => _window.Length >= length ? _window : _window = new float[length];
}

/// <summary>
/// Resampling in two passes (Catmull and Smith, SIGGRAPH 1980): every source row is first resampled at the places where it meets the target's
/// columns; then every target pixel is sampled down its column. Twelve products a pixel and plane instead of 42.
/// </summary>
/// <remarks>
/// Eight neighbouring pixels are done at once where they fall into neighbouring source pixels, which small rotations nearly always grant.
/// Within <see cref="Segment"/> pixels the map is taken as straight: a projective map with w = 1 + g.d bends a line by |x''| n^2 / 8 = |g| n^2 / 4 at
/// most; with n = 32 and the |g| &lt; 1e-6 per px of sensors tilted by less than a degree that is below 3e-4 px (tested).
/// </remarks>
/// <typeparam name="TRows">Where the source's rows come from.</typeparam>
internal sealed class TwoPass<TRows> : ITargetRows
    where TRows : struct, ISourceRows
{
    private const int Lanes = EightWeights.Lanes;
    private const int Segment = 32;
    private const int Before = Kernel.Margin - 1;

    // Positions inside a segment may differ so much from the exact ones.
    private const double Slack = 1e-3;

    private readonly TRows _rows;
    private readonly PlaneMap _map;
    private readonly int _width, _sourceWidth, _planes;
    private readonly int _pitch, _capacity;
    private readonly float[] _window;
    private int _next = int.MinValue;

    /// <summary>Prepares a target.</summary>
    /// <param name="rows">The source's rows.</param>
    /// <param name="map">From target to source pixels; <see cref="PlaneMap.IsNearlyLevel"/>.</param>
    /// <param name="width">Columns of the target.</param>
    /// <param name="sourceWidth">Columns of the source; positions beyond are clamped.</param>
    /// <param name="planes">Number of planes.</param>
    /// <param name="bench">Memory.</param>
    public TwoPass(TRows rows, PlaneMap map, int width, int sourceWidth, int planes, TwoPassBench bench)
    {
        Debug.Assert(map.IsNearlyLevel);
        (_rows, _map, _width, _sourceWidth, _planes) = (rows, map, width, sourceWidth, planes);
        _pitch = (width + Lanes - 1) / Lanes * Lanes;
        double fall = Math.Abs(map.At(width, 0).Y - map.At(0, 0).Y);
        _capacity = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)(fall * 1.1) + Kernel.Taps + 4);
        _window = bench.Window(_capacity * planes * _pitch);
    }

    /// <inheritdoc/>
    public void FillRow(int row, Span<float> target, int stride)
    {
        double left = _map.At(0, row).Y, right = _map.At(_width - 1, row).Y;
        int first = (int)Math.Floor(Math.Min(left, right) - Slack) - Before, last = (int)Math.Floor(Math.Max(left, right) + Slack) + Kernel.Margin;
        Debug.Assert(last - first < _capacity);
        for (_next = Math.Max(_next, first); _next <= last; _next++)
            Across(_next);
        for (int column = 0; column < _width; column += Segment)
        {
            double y = _map.At(column, row).Y, step = (_map.At(column + Segment, row).Y - y) / Segment;
            int end = Math.Min(column + Segment, _width);
            for (int i = column; i < end; i += Lanes)
                Down(y + (i - column) * step, step, i, target, stride);
        }
    }

    private ref float Kept(int row, int plane, int column) =>
        ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_window), ((row & (_capacity - 1)) * _planes + plane) * _pitch + column);

    private void Across(int row)
    {
        ReadOnlySpan<float> source = _rows.Row(row);
        for (int column = 0; column < _width; column += Segment)
        {
            double x = _map.ColumnAt(column, row), step = (_map.ColumnAt(column + Segment, row) - x) / Segment;
            int end = Math.Min(column + Segment, _width);
            for (int i = column; i < end; i += Lanes)
                Across(source, row, i, x + (i - column) * step, step);
        }
    }

    private void Across(ReadOnlySpan<float> source, int row, int column, double x, double step)
    {
        double floor = Math.Floor(x), lastFloor = Math.Floor(x + (Lanes - 1) * step) - (Lanes - 1);
        int first = (int)floor - Before, firstOfLast = (int)lastFloor - Before;
        (float fraction, float rise) = ((float)(x - floor), (float)(step - 1));
        bool inside = Math.Min(first, firstOfLast) >= 0 && Math.Max(first, firstOfLast) + Kernel.Taps + Lanes - 1 <= _sourceWidth;
        if (!inside || Math.Abs(rise) > EightWeights.MostStep || Math.Abs(firstOfLast - first) > 1)
        {
            AcrossOneByOne(source, row, column, x, step);
            return;
        }
        float end = fraction + (Lanes - 1) * rise;
        ref float at = ref MemoryMarshal.GetReference(source);
        if (first == firstOfLast)
        {
            EightWeights weights = EightWeights.Of(fraction, rise, (fraction + end) / 2);
            for (int plane = 0; plane < _planes; plane++)
                SumAcross(ref Unsafe.Add(ref at, plane * _rows.Stride + first), weights).StoreUnsafe(ref Kept(row, plane, column));
            return;
        }
        // Some of the eight lie beyond the next whole pixel.
        int over = firstOfLast - first;
        float edge = Math.Max(over, 0);
        EightWeights near = EightWeights.Of(fraction, rise, (fraction + edge) / 2), far = EightWeights.Of(fraction - over, rise, (end + edge) / 2 - over);
        Vector256<float> beyond = EightWeights.Beyond(fraction, rise);
        for (int plane = 0; plane < _planes; plane++)
        {
            ref float from = ref Unsafe.Add(ref at, plane * _rows.Stride);
            Vector256.ConditionalSelect(beyond, SumAcross(ref Unsafe.Add(ref from, firstOfLast), far), SumAcross(ref Unsafe.Add(ref from, first), near))
                .StoreUnsafe(ref Kept(row, plane, column));
        }
    }

    private void AcrossOneByOne(ReadOnlySpan<float> source, int row, int column, double x, double step)
    {
        Span<double> weights = stackalloc double[Kernel.Taps];
        for (int lane = 0; lane < Lanes; lane++)
        {
            double at = x + lane * step, floor = Math.Floor(at);
            Kernel.Tabulated(at - floor, weights);
            for (int plane = 0; plane < _planes; plane++)
            {
                double sum = 0;
                for (int tap = 0; tap < Kernel.Taps; tap++)
                    sum += weights[tap] * source[plane * _rows.Stride + Math.Clamp((int)floor - Before + tap, 0, _sourceWidth - 1)];
                Kept(row, plane, column + lane) = (float)sum;
            }
        }
    }

    private void Down(double y, double step, int column, Span<float> target, int stride)
    {
        double floor = Math.Floor(y), lastFloor = Math.Floor(y + (Lanes - 1) * step);
        int first = (int)floor - Before, over = (int)lastFloor - (int)floor;
        if (Math.Abs(step) > EightWeights.MostStep || Math.Abs(over) > 1)
        {
            DownOneByOne(y, step, column, target, stride);
            return;
        }
        float fraction = (float)(y - floor), rise = (float)step, end = fraction + (Lanes - 1) * rise;
        if (over == 0)
        {
            EightWeights weights = EightWeights.Of(fraction, rise, (fraction + end) / 2);
            for (int plane = 0; plane < _planes; plane++)
                Store(SumDown(first, plane, column, weights), target[(plane * stride)..], column);
            return;
        }
        float edge = Math.Max(over, 0);
        EightWeights near = EightWeights.Of(fraction, rise, (fraction + edge) / 2), far = EightWeights.Of(fraction - over, rise, (end + edge) / 2 - over);
        Vector256<float> beyond = EightWeights.Beyond(fraction, rise);
        for (int plane = 0; plane < _planes; plane++)
        {
            Vector256<float> both = Vector256.ConditionalSelect(beyond, SumDown(first + over, plane, column, far), SumDown(first, plane, column, near));
            Store(both, target[(plane * stride)..], column);
        }
    }

    private void DownOneByOne(double y, double step, int column, Span<float> target, int stride)
    {
        Span<double> weights = stackalloc double[Kernel.Taps];
        for (int i = column; i < Math.Min(column + Lanes, _width); i++)
        {
            double at = y + (i - column) * step, floor = Math.Floor(at);
            Kernel.Tabulated(at - floor, weights);
            for (int plane = 0; plane < _planes; plane++)
            {
                double sum = 0;
                for (int tap = 0; tap < Kernel.Taps; tap++)
                    sum += weights[tap] * Kept((int)floor - Before + tap, plane, i);
                target[plane * stride + i] = (float)sum;
            }
        }
    }

    // Six neighbouring pixels of a row for each of eight.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> SumAcross(ref float at, in EightWeights weights)
    {
        Vector256<float> sum = weights[0] * Vector256.LoadUnsafe(ref at);
        sum = Vector256.FusedMultiplyAdd(weights[1], Vector256.LoadUnsafe(ref at, 1), sum);
        sum = Vector256.FusedMultiplyAdd(weights[2], Vector256.LoadUnsafe(ref at, 2), sum);
        sum = Vector256.FusedMultiplyAdd(weights[3], Vector256.LoadUnsafe(ref at, 3), sum);
        sum = Vector256.FusedMultiplyAdd(weights[4], Vector256.LoadUnsafe(ref at, 4), sum);
        return Vector256.FusedMultiplyAdd(weights[5], Vector256.LoadUnsafe(ref at, 5), sum);
    }

    // Six rows of the window for each of eight.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private Vector256<float> SumDown(int first, int plane, int column, in EightWeights weights)
    {
        Vector256<float> sum = weights[0] * Vector256.LoadUnsafe(ref Kept(first, plane, column));
        sum = Vector256.FusedMultiplyAdd(weights[1], Vector256.LoadUnsafe(ref Kept(first + 1, plane, column)), sum);
        sum = Vector256.FusedMultiplyAdd(weights[2], Vector256.LoadUnsafe(ref Kept(first + 2, plane, column)), sum);
        sum = Vector256.FusedMultiplyAdd(weights[3], Vector256.LoadUnsafe(ref Kept(first + 3, plane, column)), sum);
        sum = Vector256.FusedMultiplyAdd(weights[4], Vector256.LoadUnsafe(ref Kept(first + 4, plane, column)), sum);
        return Vector256.FusedMultiplyAdd(weights[5], Vector256.LoadUnsafe(ref Kept(first + 5, plane, column)), sum);
    }

    // The last pixels of a row may be fewer than eight.
    private void Store(Vector256<float> values, Span<float> target, int column)
    {
        if (column <= _width - Lanes)
        {
            values.StoreUnsafe(ref target[column]);
            return;
        }
        for (int lane = 0; column + lane < _width; lane++)
            target[column + lane] = values[lane];
    }
}
