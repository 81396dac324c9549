using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Imaging;

/// <summary>Three channels of 16-bit samples, interleaved pixel by pixel, eight pixels at a time.</summary>
internal static class Interleaved
{
    /// <summary>Pixels done at once.</summary>
    public const int Pixels = 8;

    /// <summary>Their samples.</summary>
    public const int Samples = 3 * Pixels;

    private const byte No = 0xFF;

    /// <summary>Stores eight pixels.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Vector128<ushort> red, Vector128<ushort> green, Vector128<ushort> blue, Span<ushort> samples)
    {
        (Vector128<byte> r, Vector128<byte> g, Vector128<byte> b) = (red.AsByte(), green.AsByte(), blue.AsByte());
        // r0 g0 b0 r1 g1 b1 r2 g2 | b2 r3 g3 b3 r4 g4 b4 r5 | g5 b5 r6 g6 b6 r7 g7 b7
        Vector128<byte> first = Vector128.Shuffle(r, Vector128.Create(0, 1, No, No, No, No, 2, 3, No, No, No, No, 4, 5, No, No))
            | Vector128.Shuffle(g, Vector128.Create(No, No, 0, 1, No, No, No, No, 2, 3, No, No, No, No, 4, 5))
            | Vector128.Shuffle(b, Vector128.Create(No, No, No, No, 0, 1, No, No, No, No, 2, 3, No, No, No, No));
        Vector128<byte> second = Vector128.Shuffle(r, Vector128.Create(No, No, 6, 7, No, No, No, No, 8, 9, No, No, No, No, 10, 11))
            | Vector128.Shuffle(g, Vector128.Create(No, No, No, No, 6, 7, No, No, No, No, 8, 9, No, No, No, No))
            | Vector128.Shuffle(b, Vector128.Create(4, 5, No, No, No, No, 6, 7, No, No, No, No, 8, 9, No, No));
        Vector128<byte> third = Vector128.Shuffle(r, Vector128.Create(No, No, No, No, 12, 13, No, No, No, No, 14, 15, No, No, No, No))
            | Vector128.Shuffle(g, Vector128.Create(10, 11, No, No, No, No, 12, 13, No, No, No, No, 14, 15, No, No))
            | Vector128.Shuffle(b, Vector128.Create(No, No, 10, 11, No, No, No, No, 12, 13, No, No, No, No, 14, 15));
        first.AsUInt16().CopyTo(samples);
        second.AsUInt16().CopyTo(samples[8..]);
        third.AsUInt16().CopyTo(samples[16..]);
    }

    /// <summary>One channel of eight pixels.</summary>
    /// <param name="samples">From the channel's first sample on, 24 samples.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<ushort> Load(ReadOnlySpan<ushort> samples)
    {
        ref ushort from = ref MemoryMarshal.GetReference(samples);
        _ = samples[Samples - 1];
        Vector128<byte> a = Vector128.LoadUnsafe(ref from).AsByte(), b = Vector128.LoadUnsafe(ref from, 8).AsByte(), c = Vector128.LoadUnsafe(ref from, 16).AsByte();
        return (Vector128.Shuffle(a, Vector128.Create(0, 1, 6, 7, 12, 13, No, No, No, No, No, No, No, No, No, No))
            | Vector128.Shuffle(b, Vector128.Create(No, No, No, No, No, No, 2, 3, 8, 9, 14, 15, No, No, No, No))
            | Vector128.Shuffle(c, Vector128.Create(No, No, No, No, No, No, No, No, No, No, No, No, 4, 5, 10, 11))).AsUInt16();
    }
}
