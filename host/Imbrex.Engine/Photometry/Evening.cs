using Imbrex.Engine.Intake;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Evens out the light of one frame, code by code: linear light times the frame's gain, less the sensor's shading, encoded again but not
/// rounded. Without shading a table does it.
/// </summary>
internal sealed class Evening
{
    /// <summary>Pixels between two places where the shading is computed; between them it is taken as straight.</summary>
    private const int Knot = 32;

    private readonly FrameLight _light;
    private readonly IReadOnlyList<double> _gain;
    private readonly float[][]? _tables;
    private readonly SensorShading? _shading;
    private readonly Turn _turn;
    private readonly double _radius;

    /// <summary>Prepares a frame.</summary>
    /// <param name="light">The tone curves.</param>
    /// <param name="gain">Factors on linear light for R, G, B.</param>
    /// <param name="shading">What to take out, or null.</param>
    /// <param name="turn">The body's turn.</param>
    /// <param name="radius">Half diagonal of the frame, px.</param>
    public Evening(FrameLight light, IReadOnlyList<double> gain, SensorShading? shading = null, Turn turn = Turn.None, double radius = 1)
    {
        (_light, _gain, _shading, _turn, _radius) = (light, gain, shading, turn, radius);
        if (shading is null)
            _tables = [.. Enumerable.Range(0, Frame.Bands).Select(band => light.Curves[band].Gained(gain[band]))];
    }

    /// <summary>Whether codes stay what they are.</summary>
    public bool IsNone => _shading is null && _gain.All(gain => gain == 1);

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
        float here = Factor(band, dx, dy);
        for (int start = 0; start < target.Length; start += Knot)
        {
            float next = Factor(band, dx + start + Knot, dy), step = (next - here) / Knot;
            int end = Math.Min(start + Knot, target.Length);
            for (int i = start; i < end; i++)
                target[i] = curve.Code(curve.Linear(codes[i * Frame.Bands]) * (here + (i - start) * step));
            here = next;
        }
    }

    private float Factor(int band, double dx, double dy)
    {
        (double x, double y) = SensorShading.Place(dx, dy, _turn, _radius);
        return (float)(_gain[band] * Math.Exp(-_shading!.LogAt(band, x, y)));
    }
}
