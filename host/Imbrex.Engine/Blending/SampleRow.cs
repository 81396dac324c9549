using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Blending;

/// <summary>Turns rows of values into interleaved 16-bit samples.</summary>
internal static class SampleRow
{
    private const int Lanes = Dither.Lanes;

    /// <summary>Stores part of a row.</summary>
    /// <param name="values">Three channels, <paramref name="stride"/> values apart.</param>
    /// <param name="stride">Values from channel to channel.</param>
    /// <param name="canvasX">Canvas column of the first pixel.</param>
    /// <param name="canvasY">Canvas row.</param>
    /// <param name="bands">3, or 4 with alpha, which becomes opaque.</param>
    /// <param name="samples">Receives the samples; as many pixels as it has room for are stored.</param>
    public static void Store(ReadOnlySpan<float> values, int stride, int canvasX, int canvasY, int bands, Span<ushort> samples)
    {
        uint row = Dither.Row(canvasY);
        int count = samples.Length / bands, x = 0;
        for (; x <= count - Lanes; x += Lanes)
            StoreEight(values[x..], stride, Dither.Bits(row, canvasX + x), bands, samples.Slice(x * bands, Lanes * bands));
        if (x == count)
            return;
        Span<float> rest = stackalloc float[Lanes * Frame.Bands];
        Span<ushort> last = stackalloc ushort[Lanes * bands];
        rest.Clear();
        for (int band = 0; band < Frame.Bands; band++)
            values.Slice(band * stride + x, count - x).CopyTo(rest[(band * Lanes)..]);
        StoreEight(rest, Lanes, Dither.Bits(row, canvasX + x), bands, last);
        last[..((count - x) * bands)].CopyTo(samples[(x * bands)..]);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void StoreEight(ReadOnlySpan<float> values, int stride, Vector256<uint> bits, int bands, Span<ushort> samples)
    {
        ref float from = ref MemoryMarshal.GetReference(values);
        _ = values[2 * stride + Lanes - 1];
        Vector256<int> red = Dither.Codes(Vector256.LoadUnsafe(ref from), bits, 0);
        Vector256<int> green = Dither.Codes(Vector256.LoadUnsafe(ref from, (nuint)stride), bits, 1);
        Vector256<int> blue = Dither.Codes(Vector256.LoadUnsafe(ref from, (nuint)(2 * stride)), bits, 2);
        if (bands == Frame.Bands)
            Interleaved.Store(Narrow(red), Narrow(green), Narrow(blue), samples);
        else
            StoreOpaque(red, green, blue, samples);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector128<ushort> Narrow(Vector256<int> codes) => Vector128.Narrow(codes.AsUInt32().GetLower(), codes.AsUInt32().GetUpper());

    private static void StoreOpaque(Vector256<int> red, Vector256<int> green, Vector256<int> blue, Span<ushort> samples)
    {
        Vector256<uint> first = (red | (green << 16)).AsUInt32(), second = blue.AsUInt32() | Vector256.Create(0xFFFF0000u);
        Span<uint> pairs = MemoryMarshal.Cast<ushort, uint>(samples);
        Vector256<uint> odd = Vector256.Create(0u, uint.MaxValue, 0, uint.MaxValue, 0, uint.MaxValue, 0, uint.MaxValue);
        Vector256<uint> lower = Vector256.Create(0u, 0, 1, 1, 2, 2, 3, 3), upper = Vector256.Create(4u, 4, 5, 5, 6, 6, 7, 7);
        Vector256.ConditionalSelect(odd, Vector256.Shuffle(second, lower), Vector256.Shuffle(first, lower)).CopyTo(pairs);
        Vector256.ConditionalSelect(odd, Vector256.Shuffle(second, upper), Vector256.Shuffle(first, upper)).CopyTo(pairs[Lanes..]);
    }
}
