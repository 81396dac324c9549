using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Resampling;

/// <summary>The kernel's six weights for eight neighbouring pixels, whose fractions rise by a constant step.</summary>
[InlineArray(Kernel.Taps)]
internal struct EightWeights
{
    /// <summary>Pixels done at once.</summary>
    public const int Lanes = 8;

    /// <summary>Largest step from pixel to pixel at which all eight lie within the Taylor reach of the phase nearest to the middle one.</summary>
    public const float MostStep = (Kernel.Reach - 0.5f / Kernel.Phases) * 2 / (Lanes - 1);

    private static readonly Vector256<float> LaneIndex = Vector256.Create(0f, 1f, 2f, 3f, 4f, 5f, 6f, 7f);

    private Vector256<float> _first;

    /// <summary>The weights of eight fractions.</summary>
    /// <param name="fraction">The first pixel's fraction.</param>
    /// <param name="step">By how much the fraction rises from pixel to pixel.</param>
    /// <param name="middle">The fraction about which the weights are exact.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static EightWeights Of(float fraction, float step, float middle)
    {
        int phase = Math.Clamp((int)MathF.Round(middle * Kernel.Phases), 0, Kernel.Phases);
        Vector256<float> d = Vector256.FusedMultiplyAdd(LaneIndex, Vector256.Create(step), Vector256.Create(fraction - phase / (float)Kernel.Phases));
        int at = phase * Kernel.Taps;
        ref float value = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(Kernel.Value), at);
        ref float slope = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(Kernel.Slope), at);
        ref float bend = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(Kernel.Bend), at);
        Unsafe.SkipInit(out EightWeights weights);
        for (int tap = 0; tap < Kernel.Taps; tap++)
        {
            Vector256<float> rise = Vector256.FusedMultiplyAdd(d, Vector256.Create(Unsafe.Add(ref bend, tap)), Vector256.Create(Unsafe.Add(ref slope, tap)));
            weights[tap] = Vector256.FusedMultiplyAdd(d, rise, Vector256.Create(Unsafe.Add(ref value, tap)));
        }
        return weights;
    }

    /// <summary>Which of eight fractions lie beyond a whole pixel: not below 1 where they rise, below 0 where they fall.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<float> Beyond(float fraction, float step)
    {
        Vector256<float> fractions = Vector256.FusedMultiplyAdd(LaneIndex, Vector256.Create(step), Vector256.Create(fraction));
        return step > 0 ? Vector256.GreaterThanOrEqual(fractions, Vector256<float>.One) : Vector256.LessThan(fractions, Vector256<float>.Zero);
    }
}
