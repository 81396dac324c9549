using System.Buffers;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out the light of one frame, code by code: linear light less the frame's offset, times its factor, brought below white if need be, encoded
/// again but not rounded. Where the correction is the same all over the frame tables do it, which are made when they are first needed. Safe to use from several threads.
/// </summary>
internal sealed class Evening
{
    private readonly FrameLight _light;
    private readonly LightCorrection _correction;
    private readonly HighlightTone _tone;
    private readonly bool[] _keeps;
    private readonly Lock _gate = new();
    private float[]?[]? _tables;

    // Pixels between two places where the correction is computed; between them it is taken as straight.
    private readonly int _knot;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="correction">What is done to its light.</param>
    /// <param name="tone">What becomes of its brightest light.</param>
    public Evening(FrameLight light, LightCorrection correction, HighlightTone tone)
    {
        (_light, _correction, _tone, _knot) = (light, correction, tone, correction.Knot);
        _keeps = [.. Enumerable.Range(0, Frame.Bands).Select(band => correction.IsUniform && !Changes(band) && tone.Keeps(band, light.Curves[band].Linear((ushort)ToneCurve.White)))];
    }

    /// <summary>Prepares a frame whose light is only multiplied, and clipped at white.</summary>
    public Evening(FrameLight light, IReadOnlyList<double> gain)
        : this(light, new LightCorrection(gain), HighlightTone.Plain(light))
    {
    }

    /// <summary>Whether codes stay what they are.</summary>
    public bool IsNone => _keeps.All(keeps => keeps);

    /// <summary>Gives the tables back to the pool, for the next frame's; they are made again when they are needed once more. Nobody may be evening out meanwhile.</summary>
    public void Rest()
    {
        foreach (float[]? table in Interlocked.Exchange(ref _tables, null) ?? [])
        {
            if (table is not null)
                ArrayPool<float>.Shared.Return(table);
        }
    }

    /// <summary>Evens out part of a row.</summary>
    /// <param name="codes">Interleaved codes from the first pixel on, first sample of the wanted channel.</param>
    /// <param name="band">The channel.</param>
    /// <param name="dx">Offset of the first pixel from the centre of the upright frame, px.</param>
    /// <param name="dy">Likewise down.</param>
    /// <param name="target">Receives one value a pixel.</param>
    public void Row(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        if (_keeps[band])
            CodeRow.Convert(codes, target);
        else if (_correction.IsUniform)
            CodeRow.LookUp(codes, (Volatile.Read(ref _tables) ?? MakeTables())[band]!, target);
        else
            Correct(codes, band, dx, dy, target);
    }

    private float[]?[] MakeTables()
    {
        lock (_gate)
        {
            // Somebody else may have made them meanwhile.
            float[]?[] tables = _tables ?? [.. Enumerable.Range(0, Frame.Bands).Select(band => _keeps[band] ? null : Table(band))];
            Volatile.Write(ref _tables, tables);
            return tables;
        }
    }

    private void Correct(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        (float factor, float offset) = Line(band, dx, dy);
        for (int start = 0; start < target.Length; start += _knot)
        {
            (float nextFactor, float nextOffset) = Line(band, dx + start + _knot, dy);
            var line = new CorrectionLine(factor, (nextFactor - factor) / _knot, offset, (nextOffset - offset) / _knot);
            CodeRow.Correct(codes[(start * Frame.Bands)..], _light.Curves[band], line, _tone, band, target.Slice(start, Math.Min(_knot, target.Length - start)));
            (factor, offset) = (nextFactor, nextOffset);
        }
    }

    // (light - offset) * factor = light * factor + (-offset * factor), both straight between knots.
    private (float Factor, float Offset) Line(int band, double dx, double dy)
    {
        double factor = _correction.Factor(band, dx, dy);
        return ((float)factor, (float)(-_correction.Offset(band, dx, dy) * factor));
    }

    private bool Changes(int band) => Line(band, 0, 0) is not (1, 0);

    // Light that is not changed keeps exactly its code; where that is all of it, no table is needed.
    private float[] Table(int band)
    {
        ToneCurve curve = _light.Curves[band];
        LightEncoder encoder = _tone.Encoder(band);
        (float factor, float offset) = Line(band, 0, 0);
        bool changes = Changes(band);
        float liftsFrom = _tone.LiftsFrom(band);
        float[] table = ArrayPool<float>.Shared.Rent(ToneCurve.White + 1);
        for (int code = 0; code <= ToneCurve.White; code++)
        {
            float recorded = curve.Linear((ushort)code), evened = recorded * factor + offset;
            bool same = !changes && _tone.Keeps(band, recorded);
            table[code] = same ? code : encoder.Code(recorded > liftsFrom ? _tone.Lift(recorded, evened) : evened);
        }
        return table;
    }
}
