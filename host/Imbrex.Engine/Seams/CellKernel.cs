using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Seams;

/// <summary>Averages one cell of a frame at a place between pixels, and measures its fine detail, in one pass over its pixels.</summary>
internal static class CellKernel
{
    /// <summary>Samples beyond the last one of a cell's block that may be read (and are not used).</summary>
    public const int Padding = 40;

    private const int Lanes = 8;

    /// <summary>Most vectors that a row of a cell needs: 8 px of 3 samples and the pixel after them.</summary>
    private const int MostVectors = 4;

    /// <summary>Measures a cell.</summary>
    /// <param name="samples">Interleaved R, G, B.</param>
    /// <param name="at">The cell's first sample.</param>
    /// <param name="stride">Samples from one row to the next.</param>
    /// <param name="side">Pixels along the cell's side, 4 or 8.</param>
    /// <param name="right">How far the cell lies to the right of its first pixel, 0 to 1; above 0 one more column is used.</param>
    /// <param name="down">Likewise down.</param>
    /// <param name="means">Receives the mean of each channel, as interpolated linearly between pixels.</param>
    /// <returns>Mean squared difference of pixels two apart, across and down, such that white noise gives its variance.</returns>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static (float Across, float Down) Measure(ReadOnlySpan<ushort> samples, int at, int stride, int side, float right, float down, Span<float> means)
    {
        Span<int> sums = stackalloc int[MostVectors * Lanes], steps = stackalloc int[MostVectors * Lanes];
        Span<float> across = stackalloc float[MostVectors * Lanes], below = stackalloc float[MostVectors * Lanes];
        int used = side * Frame.Bands, vectors = (used + Frame.Bands + Lanes - 1) / Lanes;
        ref ushort first = ref MemoryMarshal.GetReference(samples[..(at + side * stride + vectors * Lanes)]);
        for (int k = 0; k < vectors; k++)
            Column(ref first, at + k * Lanes, stride, side, k * Lanes, sums, steps, across, below);
        float scale = 1f / (side * side);
        for (int band = 0; band < Frame.Bands; band++)
        {
            int sum = 0, step = 0;
            for (int i = band; i < used; i += Frame.Bands)
            {
                sum += sums[i];
                step += steps[i];
            }
            // The mean between pixels: what the box loses on one side and gains on the other.
            means[band] = (sum + right * (sums[used + band] - sums[band]) + down * step) * scale;
        }
        // Pixels two apart that lie in the cell both; rows were added in pairs, which gives four times the variance.
        int inside = used - 2 * Frame.Bands;
        return (Sum(across[..inside]) / (4 * inside * (side / 2)), Sum(below[..used]) / (4 * used * (side / 2 - 1)));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Column(ref ushort first, int at, int stride, int side, int lane, Span<int> sums, Span<int> steps, Span<float> across, Span<float> below)
    {
        Vector256<int> sum = Vector256<int>.Zero, before = Vector256<int>.Zero;
        Vector256<float> squaresAcross = Vector256<float>.Zero, squaresDown = Vector256<float>.Zero;
        for (int y = 0; y < side; y += 2)
        {
            int row = at + y * stride;
            Vector256<int> pair = Load(ref first, row) + Load(ref first, row + stride);
            Vector256<int> next = Load(ref first, row + 2 * Frame.Bands) + Load(ref first, row + stride + 2 * Frame.Bands);
            sum += pair;
            Vector256<float> difference = Vector256.ConvertToSingle(next - pair);
            squaresAcross += difference * difference;
            if (y > 0)
            {
                difference = Vector256.ConvertToSingle(pair - before);
                squaresDown += difference * difference;
            }
            before = pair;
        }
        sum.CopyTo(sums[lane..]);
        (Load(ref first, at + side * stride) - Load(ref first, at)).CopyTo(steps[lane..]);
        squaresAcross.CopyTo(across[lane..]);
        squaresDown.CopyTo(below[lane..]);
    }

    private static float Sum(ReadOnlySpan<float> values)
    {
        float sum = 0;
        foreach (float value in values)
            sum += value;
        return sum;
    }

    private static Vector256<int> Load(ref ushort first, int at)
    {
        Vector128<ushort> codes = Vector128.LoadUnsafe(ref first, (nuint)at);
        return Avx2.IsSupported
            ? Avx2.ConvertToVector256Int32(codes)
            : Vector256.Create(Vector128.WidenLower(codes), Vector128.WidenUpper(codes)).AsInt32();
    }
}
