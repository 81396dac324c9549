using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Simulation;

/// <summary>A symmetric filter applied across and then down; the result is smaller than the input by its reach on every side.</summary>
internal sealed class SeparableFilter
{
    private readonly Vector128<float>[] _taps;

    /// <param name="half">The weights from the centre outwards; they are scaled to sum to 1.</param>
    public SeparableFilter(ReadOnlySpan<double> half)
    {
        double sum = half[0];
        foreach (double weight in half[1..])
            sum += 2 * weight;
        _taps = new Vector128<float>[half.Length];
        for (int i = 0; i < half.Length; i++)
            _taps[i] = Vector128.Create((float)(half[i] / sum));
    }

    /// <summary>Pixels that the filter needs on every side.</summary>
    public int Reach => _taps.Length - 1;

    /// <summary>A Gaussian blur, cut at 3.5 standard deviations.</summary>
    /// <param name="sigma">Standard deviation, px.</param>
    public static SeparableFilter Gaussian(double sigma)
    {
        var half = new double[(int)Math.Ceiling(3.5 * sigma) + 1];
        for (int i = 0; i < half.Length; i++)
            half[i] = Math.Exp(-0.5 * i * i / (sigma * sigma));
        return new(half);
    }

    /// <summary>Filters a block of RGBx floats.</summary>
    /// <param name="source">The block with a border of <see cref="Reach"/>; its rows are overwritten.</param>
    /// <param name="target">The block without the border.</param>
    /// <param name="width">Columns of the target.</param>
    /// <param name="height">Rows of the target.</param>
    public void Apply(Span<float> source, Span<float> target, int width, int height)
    {
        int stride = (width + 2 * Reach) * 4;
        for (int row = 0; row < height + 2 * Reach; row++)
            Run(source.Slice(row * stride, stride), 4, source.Slice(row * stride, width * 4));
        for (int row = 0; row < height; row++)
            Run(source.Slice(row * stride, 2 * Reach * stride + width * 4), stride, target.Slice(row * width * 4, width * 4));
    }

    // Each output depends on inputs at and after its own place, so that a row may be filtered onto itself.
    private void Run(ReadOnlySpan<float> from, int step, Span<float> to)
    {
        ref float first = ref MemoryMarshal.GetReference(from);
        int centre = Reach * step;
        for (int at = 0; at < to.Length; at += 4)
        {
            ref float middle = ref Unsafe.Add(ref first, at + centre);
            Vector128<float> sum = _taps[0] * Vector128.LoadUnsafe(ref middle);
            for (int i = 1; i < _taps.Length; i++)
                sum += _taps[i] * (Vector128.LoadUnsafe(ref Unsafe.Add(ref middle, -i * step)) + Vector128.LoadUnsafe(ref Unsafe.Add(ref middle, i * step)));
            sum.CopyTo(to[at..]);
        }
    }
}
