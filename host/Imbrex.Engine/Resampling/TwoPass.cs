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
    private const int MostPlanes = 4;

    // Values in a line and in a way of the processor's nearest cache; that of most holds 4096 bytes a way.
    private const int CacheLine = 16, CacheWay = 1024;

    // Positions inside a segment may differ so much from the exact ones.
    private const double Slack = 1e-3;

    private static readonly TapOffsets Neighbours = new(1, 2, 3, 4, 5);

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
        Debug.Assert(map.IsNearlyLevel && planes <= MostPlanes);
        (_rows, _map, _width, _sourceWidth, _planes) = (rows, map, width, sourceWidth, planes);
        // Never a power of two: rows over one another would take the same few lines of the processor's cache.
        _pitch = (width + Lanes - 1) / Lanes * Lanes;
        _pitch += _pitch % CacheWay < CacheLine ? CacheLine : 0;
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
        double y = _map.At(0, row).Y;
        for (int column = 0; column < _width; column += Segment)
        {
            double next = _map.At(column + Segment, row).Y;
            DownSegment(y, (next - y) / Segment, column, target, stride);
            y = next;
        }
    }

    private ref float Kept(int row, int column) =>
        ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_window), (row & (_capacity - 1)) * _planes * _pitch + column);

    private void Across(int row)
    {
        ReadOnlySpan<float> source = _rows.Row(row);
        double x = _map.ColumnAt(0, row);
        for (int column = 0; column < _width; column += Segment)
        {
            double next = _map.ColumnAt(column + Segment, row);
            AcrossSegment(source, row, column, x, (next - x) / Segment);
            x = next;
        }
    }

    private void AcrossSegment(ReadOnlySpan<float> source, int row, int column, double x, double step)
    {
        int runs = (Math.Min(Segment, _width - column) + Lanes - 1) / Lanes, pixels = runs * Lanes;
        double floor = Math.Floor(x);
        int first = (int)floor - Before;
        (float fraction, float rise) = ((float)(x - floor), (float)(step - 1));
        bool together = Math.Floor(x + (pixels - 1) * step) - (pixels - 1) == floor && first >= 0 && first + Kernel.Taps + pixels - 1 <= _sourceWidth;
        if (together && Math.Abs(rise) <= EightWeights.MostStep)
        {
            ref float from = ref Unsafe.Add(ref MemoryMarshal.GetReference(source), first);
            EightWeights.Filter(runs, _planes, ref from, Neighbours, _rows.Stride, fraction, rise, fraction + (Lanes - 1) * rise / 2, ref Kept(row, column), _pitch);
            return;
        }
        for (int run = 0; run < runs; run++)
            AcrossRun(source, row, column + run * Lanes, x + run * Lanes * step, step);
    }

    private void AcrossRun(ReadOnlySpan<float> source, int row, int column, double x, double step)
    {
        double floor = Math.Floor(x);
        int first = (int)floor - Before, over = (int)(Math.Floor(x + (Lanes - 1) * step) - (Lanes - 1) - floor);
        (float fraction, float rise) = ((float)(x - floor), (float)(step - 1));
        bool inside = Math.Min(first, first + over) >= 0 && Math.Max(first, first + over) + Kernel.Taps + Lanes - 1 <= _sourceWidth;
        if (!inside || Math.Abs(rise) > EightWeights.MostStep || Math.Abs(over) > 1)
        {
            AcrossOneByOne(source, row, column, x, step);
            return;
        }
        // Some of the eight may lie beyond the next whole pixel.
        ref float to = ref Kept(row, column);
        ref float from = ref Unsafe.Add(ref MemoryMarshal.GetReference(source), first);
        Span<float> far = stackalloc float[MostPlanes * Lanes];
        float end = fraction + (Lanes - 1) * rise, edge = Math.Clamp(end, 0, 1);
        EightWeights.Filter(1, _planes, ref from, Neighbours, _rows.Stride, fraction, rise, (fraction + edge) / 2, ref to, _pitch);
        if (over == 0)
            return;
        EightWeights.Filter(1, _planes, ref Unsafe.Add(ref from, over), Neighbours, _rows.Stride, fraction - over, rise, (end + edge) / 2 - over, ref far[0], Lanes);
        Replace(EightWeights.Beyond(fraction, rise), far, ref to, _pitch);
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
                Kept(row, plane * _pitch + column + lane) = (float)sum;
            }
        }
    }

    private void DownSegment(double y, double step, int column, Span<float> target, int stride)
    {
        int pixels = Math.Min(Segment, _width - column), runs = pixels / Lanes;
        _ = target[(_planes - 1) * stride + column + pixels - 1];
        double floor = Math.Floor(y);
        float fraction = (float)(y - floor), rise = (float)step;
        if (Math.Abs(rise) <= EightWeights.MostStep && Math.Floor(y + (runs * Lanes - 1) * step) == floor)
        {
            int first = (int)floor - Before;
            EightWeights.Filter(runs, _planes, ref Kept(first, column), Below(first), _pitch, fraction, rise, fraction + (Lanes - 1) * rise / 2, ref target[column], stride);
        }
        else
        {
            for (int run = 0; run < runs; run++)
                DownRun(y + run * Lanes * step, step, column + run * Lanes, ref target[column + run * Lanes], stride);
        }
        if (runs * Lanes == pixels)
            return;
        // The last pixels of a row.
        Span<float> eight = stackalloc float[MostPlanes * Lanes];
        DownRun(y + runs * Lanes * step, step, column + runs * Lanes, ref eight[0], Lanes);
        for (int plane = 0; plane < _planes; plane++)
            eight.Slice(plane * Lanes, pixels - runs * Lanes).CopyTo(target[(plane * stride + column + runs * Lanes)..]);
    }

    private void DownRun(double y, double step, int column, ref float target, int stride)
    {
        double floor = Math.Floor(y);
        int first = (int)floor - Before, over = (int)(Math.Floor(y + (Lanes - 1) * step) - floor);
        (float fraction, float rise) = ((float)(y - floor), (float)step);
        if (Math.Abs(rise) > EightWeights.MostStep || Math.Abs(over) > 1)
        {
            DownOneByOne(y, step, column, ref target, stride);
            return;
        }
        Span<float> far = stackalloc float[MostPlanes * Lanes];
        float end = fraction + (Lanes - 1) * rise, edge = Math.Clamp(end, 0, 1);
        EightWeights.Filter(1, _planes, ref Kept(first, column), Below(first), _pitch, fraction, rise, (fraction + edge) / 2, ref target, stride);
        if (over == 0)
            return;
        first += over;
        EightWeights.Filter(1, _planes, ref Kept(first, column), Below(first), _pitch, fraction - over, rise, (end + edge) / 2 - over, ref far[0], Lanes);
        Replace(EightWeights.Beyond(fraction, rise), far, ref target, stride);
    }

    private void DownOneByOne(double y, double step, int column, ref float target, int stride)
    {
        Span<double> weights = stackalloc double[Kernel.Taps];
        for (int lane = 0; lane < Math.Min(Lanes, _width - column); lane++)
        {
            double at = y + lane * step, floor = Math.Floor(at);
            Kernel.Tabulated(at - floor, weights);
            for (int plane = 0; plane < _planes; plane++)
            {
                double sum = 0;
                for (int tap = 0; tap < Kernel.Taps; tap++)
                    sum += weights[tap] * Kept((int)floor - Before + tap, plane * _pitch + column + lane);
                Unsafe.Add(ref target, plane * stride + lane) = (float)sum;
            }
        }
    }

    // The window's rows below one of them; its last is followed by its first.
    private TapOffsets Below(int row)
    {
        int length = _planes * _pitch, mask = _capacity - 1, at = row & mask;
        nint Offset(int tap) => (((row + tap) & mask) - at) * length;
        return new(Offset(1), Offset(2), Offset(3), Offset(4), Offset(5));
    }

    private void Replace(Vector256<float> which, ReadOnlySpan<float> by, ref float target, int stride)
    {
        for (int plane = 0; plane < _planes; plane++)
        {
            ref float at = ref Unsafe.Add(ref target, plane * stride);
            Vector256.ConditionalSelect(which, Vector256.Create(by[(plane * Lanes)..]), Vector256.LoadUnsafe(ref at)).StoreUnsafe(ref at);
        }
    }
}
