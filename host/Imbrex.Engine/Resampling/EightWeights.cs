using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Resampling;

/// <summary>Where the second to the sixth of a pixel's six source values lie, seen from the first.</summary>
internal readonly record struct TapOffsets(nint Second, nint Third, nint Fourth, nint Fifth, nint Sixth);

/// <summary>
/// Weighs six source values for each of eight neighbouring pixels at once. The pixels' fractions rise by a constant step; Taylor's step from the
/// phase nearest to the middle one gives all their weights.
/// </summary>
internal static class EightWeights
{
    /// <summary>Pixels done at once.</summary>
    public const int Lanes = 8;

    /// <summary>Largest step from pixel to pixel at which all eight lie within the Taylor reach of the phase nearest to the middle one.</summary>
    public const float MostStep = (Kernel.Reach - 0.5f / Kernel.Phases) * 2 / (Lanes - 1);

    private static readonly Vector256<float> LaneIndex = Vector256.Create(0f, 1f, 2f, 3f, 4f, 5f, 6f, 7f);

    /// <summary>Which of eight fractions lie beyond a whole pixel: not below 1 where they rise, below 0 where they fall.</summary>
    public static Vector256<float> Beyond(float fraction, float step)
    {
        Vector256<float> fractions = Vector256.FusedMultiplyAdd(LaneIndex, Vector256.Create(step), Vector256.Create(fraction));
        return step > 0 ? Vector256.GreaterThanOrEqual(fractions, Vector256<float>.One) : Vector256.LessThan(fractions, Vector256<float>.Zero);
    }

    /// <summary>Filters runs of eight pixels one after the other.</summary>
    /// <param name="runs">Number of runs.</param>
    /// <param name="planes">Planes of source and target.</param>
    /// <param name="from">First of the six source values of the first pixel; the next pixel's lie one further.</param>
    /// <param name="taps">Where the other five lie.</param>
    /// <param name="fromStride">From plane to plane of the source.</param>
    /// <param name="fraction">The first pixel's fraction.</param>
    /// <param name="step">By how much the fraction rises from pixel to pixel; it stays between 0 and 1, or the Taylor step is used outside.</param>
    /// <param name="middle">The fraction, 0 to 1, about which the first run's weights are exact.</param>
    /// <param name="target">Receives the pixels.</param>
    /// <param name="stride">From plane to plane of the target.</param>
    public static void Filter(int runs, int planes, ref float from, TapOffsets taps, nint fromStride, float fraction, float step, float middle, ref float target, nint stride)
    {
        ref float taylor = ref MemoryMarshal.GetArrayDataReference(Kernel.Taylor);
        (nint second, nint third, nint fourth, nint fifth, nint sixth) = taps;
        Vector256<float> rising = LaneIndex * step;
        for (; runs > 0; runs--)
        {
            int phase = float.ConvertToIntegerNative<int>(middle * Kernel.Phases + 0.5f);
            ref float at = ref Unsafe.Add(ref taylor, phase * Kernel.PhaseLength);
            Vector256<float> d = rising + Vector256.Create(fraction - phase * (1f / Kernel.Phases));
            Vector256<float> w0 = Weight(ref at, 0, d), w1 = Weight(ref at, 1, d), w2 = Weight(ref at, 2, d);
            Vector256<float> w3 = Weight(ref at, 3, d), w4 = Weight(ref at, 4, d), w5 = Weight(ref at, 5, d);
            ref float source = ref from;
            ref float to = ref target;
            for (int plane = 0; plane < planes; plane++)
            {
                Vector256<float> even = w0 * Vector256.LoadUnsafe(ref source), odd = w1 * Vector256.LoadUnsafe(ref Unsafe.Add(ref source, second));
                even = Vector256.FusedMultiplyAdd(w2, Vector256.LoadUnsafe(ref Unsafe.Add(ref source, third)), even);
                odd = Vector256.FusedMultiplyAdd(w3, Vector256.LoadUnsafe(ref Unsafe.Add(ref source, fourth)), odd);
                even = Vector256.FusedMultiplyAdd(w4, Vector256.LoadUnsafe(ref Unsafe.Add(ref source, fifth)), even);
                odd = Vector256.FusedMultiplyAdd(w5, Vector256.LoadUnsafe(ref Unsafe.Add(ref source, sixth)), odd);
                (even + odd).StoreUnsafe(ref to);
                source = ref Unsafe.Add(ref source, fromStride);
                to = ref Unsafe.Add(ref to, stride);
            }
            from = ref Unsafe.Add(ref from, Lanes);
            target = ref Unsafe.Add(ref target, Lanes);
            fraction += Lanes * step;
            middle += Lanes * step;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Weight(ref float phase, int tap, Vector256<float> d)
    {
        Vector256<float> rise = Vector256.FusedMultiplyAdd(d, Vector256.Create(Unsafe.Add(ref phase, 3 * tap + 2)), Vector256.Create(Unsafe.Add(ref phase, 3 * tap + 1)));
        return Vector256.FusedMultiplyAdd(d, rise, Vector256.Create(Unsafe.Add(ref phase, 3 * tap)));
    }
}
