using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out the light of one frame, code by code: linear light less the frame's offset, times its factor, brought below white if need be, encoded
/// again but not rounded. Where the correction is the same all over the frame a table does it.
/// </summary>
internal sealed class Evening
{
    /// <summary>Pixels between two places where the correction is computed; between them it is taken as straight.</summary>
    private const int Knot = 32;

    private readonly FrameLight _light;
    private readonly LightCorrection _correction;
    private readonly HighlightTone _tone;
    private readonly float[][]? _tables;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="correction">What is done to its light.</param>
    /// <param name="tone">What becomes of its brightest light.</param>
    public Evening(FrameLight light, LightCorrection correction, HighlightTone tone)
    {
        (_light, _correction, _tone) = (light, correction, tone);
        if (correction.IsUniform)
            _tables = [.. Enumerable.Range(0, Frame.Bands).Select(Table)];
    }

    /// <summary>Prepares a frame whose light is only multiplied, and clipped at white.</summary>
    public Evening(FrameLight light, IReadOnlyList<double> gain)
        : this(light, new LightCorrection(gain), HighlightTone.Plain(light))
    {
    }

    /// <summary>Whether codes stay what they are.</summary>
    public bool IsNone => _correction.IsUniform
        && Enumerable.Range(0, Frame.Bands).All(band => _correction.Factor(band, 0, 0) == 1 && _correction.Offset(band, 0, 0) == 0);

    /// <summary>Evens out part of a row.</summary>
    /// <param name="codes">Interleaved codes from the first pixel on, first sample of the wanted channel.</param>
    /// <param name="band">The channel.</param>
    /// <param name="dx">Offset of the first pixel from the centre of the upright frame, px.</param>
    /// <param name="dy">Likewise down.</param>
    /// <param name="target">Receives one value a pixel.</param>
    public void Row(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        if (_tables is not null)
        {
            ReadOnlySpan<float> table = _tables[band];
            for (int i = 0, s = 0; i < target.Length; i++, s += Frame.Bands)
                target[i] = table[codes[s]];
            return;
        }
        ToneCurve curve = _light.Curves[band];
        LightEncoder encoder = _tone.Encoder(band);
        float liftsFrom = _tone.LiftsFrom(band);
        (float factor, float offset) = Line(band, dx, dy);
        for (int start = 0; start < target.Length; start += Knot)
        {
            (float nextFactor, float nextOffset) = Line(band, dx + start + Knot, dy);
            (float factorStep, float offsetStep) = ((nextFactor - factor) / Knot, (nextOffset - offset) / Knot);
            int end = Math.Min(start + Knot, target.Length);
            for (int i = start; i < end; i++)
            {
                float recorded = curve.Linear(codes[i * Frame.Bands]);
                float evened = recorded * (factor + (i - start) * factorStep) + (offset + (i - start) * offsetStep);
                target[i] = encoder.Code(recorded > liftsFrom ? _tone.Lift(recorded, evened) : evened);
            }
            (factor, offset) = (nextFactor, nextOffset);
        }
    }

    // (light - offset) * factor = light * factor + (-offset * factor), both straight between knots.
    private (float Factor, float Offset) Line(int band, double dx, double dy)
    {
        double factor = _correction.Factor(band, dx, dy);
        return ((float)factor, (float)(-_correction.Offset(band, dx, dy) * factor));
    }

    // Light that is not changed keeps exactly its code.
    private float[] Table(int band)
    {
        ToneCurve curve = _light.Curves[band];
        LightEncoder encoder = _tone.Encoder(band);
        (float factor, float offset) = Line(band, 0, 0);
        float liftsFrom = _tone.LiftsFrom(band);
        var table = new float[ToneCurve.White + 1];
        for (int code = 0; code < table.Length; code++)
        {
            float recorded = curve.Linear((ushort)code), evened = recorded * factor + offset;
            bool same = factor == 1 && offset == 0 && _tone.Keeps(band, recorded);
            table[code] = same ? code : encoder.Code(recorded > liftsFrom ? _tone.Lift(recorded, evened) : evened);
        }
        return table;
    }
}
