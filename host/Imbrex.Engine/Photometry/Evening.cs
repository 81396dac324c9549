using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out the light of one frame, code by code: linear light less the frame's offset, times its factor, encoded again but not rounded. Where the
/// correction is the same all over the frame a table does it.
/// </summary>
internal sealed class Evening
{
    /// <summary>Pixels between two places where the correction is computed; between them it is taken as straight.</summary>
    private const int Knot = 32;

    private readonly FrameLight _light;
    private readonly LightCorrection _correction;
    private readonly float[]?[]? _tables;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="correction">What is done to its light.</param>
    public Evening(FrameLight light, LightCorrection correction)
    {
        (_light, _correction) = (light, correction);
        if (correction.IsUniform)
            _tables = [.. Enumerable.Range(0, Frame.Bands).Select(band => Changes(band) ? light.Curves[band].Corrected(correction.Factor(band, 0, 0), correction.Offset(band, 0, 0)) : null)];
    }

    /// <summary>Prepares a frame whose light is only multiplied.</summary>
    public Evening(FrameLight light, IReadOnlyList<double> gain)
        : this(light, new LightCorrection(gain))
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
            Curved(codes, band, dx, dy, target);
        else if (_tables[band] is { } table)
            CodeRow.LookUp(codes, table, target);
        else
            CodeRow.Convert(codes, target);
    }

    private void Curved(ReadOnlySpan<ushort> codes, int band, double dx, double dy, Span<float> target)
    {
        ToneCurve curve = _light.Curves[band];
        (float factor, float offset) = Line(band, dx, dy);
        for (int start = 0; start < target.Length; start += Knot)
        {
            (float nextFactor, float nextOffset) = Line(band, dx + start + Knot, dy);
            CodeRow.Correct(codes[(start * Frame.Bands)..], curve, factor, (nextFactor - factor) / Knot, offset, (nextOffset - offset) / Knot,
                target.Slice(start, Math.Min(Knot, target.Length - start)));
            (factor, offset) = (nextFactor, nextOffset);
        }
    }

    private bool Changes(int band) => _correction.Factor(band, 0, 0) != 1 || _correction.Offset(band, 0, 0) != 0;

    // (light - offset) * factor = light * factor + (-offset * factor), both straight between knots.
    private (float Factor, float Offset) Line(int band, double dx, double dy)
    {
        double factor = _correction.Factor(band, dx, dy);
        return ((float)factor, (float)(-_correction.Offset(band, dx, dy) * factor));
    }
}
