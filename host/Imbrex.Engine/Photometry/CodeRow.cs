using System.Diagnostics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>A correction of light along a row: light * factor + offset, both rising by a constant step from pixel to pixel.</summary>
internal readonly record struct CorrectionLine(float Factor, float FactorStep, float Offset, float OffsetStep);

/// <summary>One channel of a row of interleaved codes, eight pixels at a time. The codes begin with the channel's first.</summary>
internal static class CodeRow
{
    private const int Lanes = Interleaved.Pixels;

    private static readonly Vector256<float> LaneIndex = Vector256.Create(0f, 1f, 2f, 3f, 4f, 5f, 6f, 7f);

    /// <summary>The codes themselves.</summary>
    public static void Convert(ReadOnlySpan<ushort> codes, Span<float> target)
    {
        int i = 0;
        for (; HasEight(codes, target, i); i += Lanes)
            Vector256.ConvertToSingle(Widen(Interleaved.Load(codes[(i * Frame.Bands)..]))).StoreUnsafe(ref target[i]);
        for (; i < target.Length; i++)
            target[i] = codes[i * Frame.Bands];
    }

    /// <summary>What a table of 65536 values says of each code.</summary>
    public static void LookUp(ReadOnlySpan<ushort> codes, float[] table, Span<float> target)
    {
        Debug.Assert(table.Length > ushort.MaxValue);
        int i = 0;
        for (; HasEight(codes, target, i); i += Lanes)
            Gather(table, Widen(Interleaved.Load(codes[(i * Frame.Bands)..]))).StoreUnsafe(ref target[i]);
        for (; i < target.Length; i++)
            target[i] = table[codes[i * Frame.Bands]];
    }

    /// <summary>The codes of corrected light.</summary>
    public static void Correct(ReadOnlySpan<ushort> codes, ToneCurve curve, CorrectionLine line, HighlightTone tone, int band, Span<float> target)
    {
        LightEncoder encoder = tone.Encoder(band);
        Vector256<float> liftsFrom = Vector256.Create(tone.LiftsFrom(band));
        int i = 0;
        for (; HasEight(codes, target, i); i += Lanes)
        {
            Vector256<float> recorded = curve.Linear(Interleaved.Load(codes[(i * Frame.Bands)..]));
            if (Vector256.GreaterThanAny(recorded, liftsFrom))
            {
                for (int lane = i; lane < i + Lanes; lane++)
                    target[lane] = Corrected(codes[lane * Frame.Bands], lane, curve, line, tone, band);
                continue;
            }
            Vector256<float> at = LaneIndex + Vector256.Create((float)i);
            Vector256<float> factors = Vector256.FusedMultiplyAdd(at, Vector256.Create(line.FactorStep), Vector256.Create(line.Factor));
            Vector256<float> offsets = Vector256.FusedMultiplyAdd(at, Vector256.Create(line.OffsetStep), Vector256.Create(line.Offset));
            encoder.Code(Vector256.FusedMultiplyAdd(recorded, factors, offsets)).StoreUnsafe(ref target[i]);
        }
        for (; i < target.Length; i++)
            target[i] = Corrected(codes[i * Frame.Bands], i, curve, line, tone, band);
    }

    /// <summary>Eight codes as whole numbers.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<int> Widen(Vector128<ushort> codes)
    {
        (Vector128<uint> lower, Vector128<uint> upper) = Vector128.Widen(codes);
        return Vector256.Create(lower, upper).AsInt32();
    }

    /// <summary>Eight values of a table; the caller answers for the indices.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static unsafe Vector256<float> Gather(float[] table, Vector256<int> indices)
    {
        if (Avx2.IsSupported)
        {
            fixed (float* at = &MemoryMarshal.GetArrayDataReference(table))
                return Avx2.GatherVector256(at, indices, sizeof(float));
        }
        Vector256<float> values = default;
        for (int lane = 0; lane < Lanes; lane++)
            values = values.WithElement(lane, table[indices[lane]]);
        return values;
    }

    private static bool HasEight(ReadOnlySpan<ushort> codes, Span<float> target, int i) =>
        i <= target.Length - Lanes && i * Frame.Bands <= codes.Length - Interleaved.Samples;

    private static float Corrected(ushort code, int pixel, ToneCurve curve, CorrectionLine line, HighlightTone tone, int band)
    {
        float recorded = curve.Linear(code), evened = recorded * (line.Factor + pixel * line.FactorStep) + (line.Offset + pixel * line.OffsetStep);
        return tone.Encoder(band).Code(recorded > tone.LiftsFrom(band) ? tone.Lift(recorded, evened) : evened);
    }
}
