using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Noise of half a code to either side that depends on the canvas pixel only: added before rounding, it makes the mean of neighbouring codes
/// follow the value between them, so that smooth skies show no bands.
/// </summary>
/// <remarks>
/// It comes in steps of 1/256, the finest that a float holds beside the largest code. A value that is a whole code is therefore never changed: what is only
/// copied stays what it was.
/// </remarks>
internal static class Dither
{
    /// <summary>Pixels done at once.</summary>
    public const int Lanes = 8;

    private const float Step = 1f / 256;

    private static readonly Vector256<uint> LaneIndex = Vector256.Create(0u, 1, 2, 3, 4, 5, 6, 7);

    /// <summary>The row's part of the noise.</summary>
    public static uint Row(int canvasY) => Mixed(Vector256.Create((uint)canvasY * 0x9E3779B9u))[0];

    /// <summary>The bits of eight pixels, eight for each channel.</summary>
    /// <param name="row">The row's part.</param>
    /// <param name="canvasX">The first pixel's column.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<uint> Bits(uint row, int canvasX) => Mixed((LaneIndex + Vector256.Create((uint)canvasX)) ^ Vector256.Create(row));

    /// <summary>Codes of eight values.</summary>
    /// <param name="values">The values; clipped to what a code can say.</param>
    /// <param name="bits">The pixels' bits.</param>
    /// <param name="band">The channel.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<int> Codes(Vector256<float> values, Vector256<uint> bits, int band)
    {
        Vector256<float> noise = Vector256.ConvertToSingle(((bits >>> (8 * band)) & Vector256.Create(255u)).AsInt32()) * Step;
        return Vector256.ConvertToInt32(Vector256.Min(Vector256.Max(values, Vector256<float>.Zero), Vector256.Create(65535f)) + noise);
    }

    // A 32-bit mixer of two multiplications whose output bits hardly favour any input bit (Wellons 2018, "lowbias32").
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<uint> Mixed(Vector256<uint> x)
    {
        x ^= x >>> 16;
        x *= 0x7FEB352Du;
        x ^= x >>> 15;
        x *= 0x846CA68Bu;
        return x ^ (x >>> 16);
    }
}
