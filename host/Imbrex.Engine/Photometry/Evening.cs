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
    private readonly EveningShelf? _shelf;
    private readonly Lock _making = new();

    // Which channels' codes stay what they are; null where tables do not serve.
    private readonly bool[]? _keeps;
    private float[]?[]? _tables;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="correction">What is done to its light.</param>
    /// <param name="tone">What becomes of its brightest light.</param>
    /// <param name="shelf">Keeps the tables of a few frames; null where they are to stay.</param>
    public Evening(FrameLight light, LightCorrection correction, HighlightTone tone, EveningShelf? shelf = null)
    {
        (_light, _correction, _tone, _shelf) = (light, correction, tone, shelf);
        if (correction.IsUniform)
            _keeps = [.. Enumerable.Range(0, Frame.Bands).Select(Keeps)];
    }

    /// <summary>Prepares a frame whose light is only multiplied, and clipped at white.</summary>
    public Evening(FrameLight light, IReadOnlyList<double> gain)
        : this(light, new LightCorrection(gain), HighlightTone.Plain(light))
    {
    }

    /// <summary>Whether codes stay what they are.</summary>
    public bool IsNone => _keeps is not null && !_keeps.Contains(false);

    /// <summary>Gives up the tables; they are made anew when they are needed.</summary>
    public void ForgetTables() => Volatile.Write(ref _tables, null);

    /// <summary>Evens out part of a row.</summary>
    /// <param name="codes">Interleaved codes from the first pixel on, first sample of the wanted channel.</param>
    /// <param name="band">The channel.</param>
    /// <param name="dx">Offset of the first pixel from the centre of the upright frame, px.</param>
    /// <param name="dy">Likewise down.</param>
    /// <param name="target">Receives one value a pixel.</param>
    public void Row(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        if (_keeps is null)
            Correct(codes, band, dx, dy, target);
        else if (_keeps[band])
            CodeRow.Convert(codes, target);
        else
            CodeRow.LookUp(codes, Tables()[band]!, target);
    }

    private float[]?[] Tables()
    {
        if (Volatile.Read(ref _tables) is { } ready)
            return ready;
        lock (_making)
        {
            if (Volatile.Read(ref _tables) is { } made)
                return made;
            float[]?[] tables = [.. Enumerable.Range(0, Frame.Bands).Select(band => _keeps![band] ? null : Table(band))];
            Volatile.Write(ref _tables, tables);
            _shelf?.Put(this);
            return tables;
        }
    }

    private void Correct(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        (float factor, float offset) = Line(band, dx, dy);
        for (int start = 0; start < target.Length; start += Knot)
        {
            (float nextFactor, float nextOffset) = Line(band, dx + start + Knot, dy);
            var line = new CorrectionLine(factor, (nextFactor - factor) / Knot, offset, (nextOffset - offset) / Knot);
            CodeRow.Correct(codes[(start * Frame.Bands)..], _light.Curves[band], line, _tone, band, target.Slice(start, Math.Min(Knot, target.Length - start)));
            (factor, offset) = (nextFactor, nextOffset);
        }
    }

    // (light - offset) * factor = light * factor + (-offset * factor), both straight between knots.
    private (float Factor, float Offset) Line(int band, double dx, double dy)
    {
        double factor = _correction.Factor(band, dx, dy);
        return ((float)factor, (float)(-_correction.Offset(band, dx, dy) * factor));
    }

    private bool Changes(int band) => Line(band, 0, 0) != (1f, 0f);

    // Light that is not changed keeps exactly its code; where that is all of it, no table is needed.
    private bool Keeps(int band) => !Changes(band) && _tone.Keeps(band, _light.Curves[band].Linear((ushort)ToneCurve.White));

    private float[] Table(int band)
    {
        ToneCurve curve = _light.Curves[band];
        LightEncoder encoder = _tone.Encoder(band);
        (float factor, float offset) = Line(band, 0, 0);
        bool changes = Changes(band);
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
