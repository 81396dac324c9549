using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out the light of one frame, code by code: linear light less the frame's offset, times its factor, brought below white if need be, encoded
/// again but not rounded. Where the correction is the same all over the frame a table does it.
/// </summary>
internal sealed class Evening
{
    private readonly FrameLight _light;
    private readonly LightCorrection _correction;
    private readonly HighlightTone _tone;
    private readonly float[]?[]? _tables;

    // Pixels between two places where the correction is computed; between them it is taken as straight.
    private readonly int _knot;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="correction">What is done to its light.</param>
    /// <param name="tone">What becomes of its brightest light.</param>
    public Evening(FrameLight light, LightCorrection correction, HighlightTone tone)
    {
        (_light, _correction, _tone, _knot) = (light, correction, tone, correction.Knot);
        if (correction.IsUniform)
            _tables = [.. Enumerable.Range(0, Frame.Bands).Select(Table)];
    }

    /// <summary>Prepares a frame whose light is only multiplied, and clipped at white.</summary>
    public Evening(FrameLight light, IReadOnlyList<double> gain)
        : this(light, new LightCorrection(gain), HighlightTone.Plain(light))
    {
    }

    /// <summary>Whether codes stay what they are.</summary>
    public bool IsNone => _tables is not null && _tables.All(table => table is null);

    /// <summary>Evens out part of a row.</summary>
    /// <param name="codes">Interleaved codes from the first pixel on, first sample of the wanted channel.</param>
    /// <param name="band">The channel.</param>
    /// <param name="dx">Offset of the first pixel from the centre of the upright frame, px.</param>
    /// <param name="dy">Likewise down.</param>
    /// <param name="target">Receives one value a pixel.</param>
    public void Row(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        if (_tables is null)
            Correct(codes, band, dx, dy, target);
        else if (_tables[band] is { } table)
            CodeRow.LookUp(codes, table, target);
        else
            CodeRow.Convert(codes, target);
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

    // Light that is not changed keeps exactly its code; where that is all of it, no table is needed.
    private float[]? Table(int band)
    {
        ToneCurve curve = _light.Curves[band];
        LightEncoder encoder = _tone.Encoder(band);
        (float factor, float offset) = Line(band, 0, 0);
        bool changes = factor != 1 || offset != 0;
        if (!changes && _tone.Keeps(band, curve.Linear((ushort)ToneCurve.White)))
            return null;
        float liftsFrom = _tone.LiftsFrom(band);
        var table = new float[ToneCurve.White + 1];
        for (int code = 0; code < table.Length; code++)
        {
            float recorded = curve.Linear((ushort)code), evened = recorded * factor + offset;
            bool same = !changes && _tone.Keeps(band, recorded);
            table[code] = same ? code : encoder.Code(recorded > liftsFrom ? _tone.Lift(recorded, evened) : evened);
        }
        return table;
    }
}
