namespace Imbrex.Engine.Photometry;

/// <summary>
/// What evens out one frame's linear light: (light - offset) * factor, both smooth over the frame. The offset is veiling glare and a dark
/// frame; the factor is the gain and whatever shading is taken out. Immutable and thread-safe.
/// </summary>
internal sealed class LightCorrection
{
    private readonly IReadOnlyList<double> _gain;
    private readonly IReadOnlyList<double>? _glare;
    private readonly IReadOnlyList<ILightField> _fields;
    private readonly SensorField? _dark;

    /// <summary>Makes a correction.</summary>
    /// <param name="gain">Factors for R, G, B.</param>
    /// <param name="fields">Further factors.</param>
    /// <param name="glare">Light to take off first, R, G, B; null for none.</param>
    /// <param name="dark">Light of a dark frame to take off first; null for none.</param>
    public LightCorrection(IReadOnlyList<double> gain, IReadOnlyList<ILightField>? fields = null, IReadOnlyList<double>? glare = null, SensorField? dark = null) =>
        (_gain, _fields, _glare, _dark) = (gain, fields ?? [], glare, dark);

    /// <summary>Leaves light as it is.</summary>
    public static LightCorrection None { get; } = new([1, 1, 1]);

    /// <summary>This correction, known beforehand, with what was found out added to it.</summary>
    /// <param name="gain">Factors for R, G, B.</param>
    /// <param name="field">A further factor, or null.</param>
    /// <param name="glare">Light to take off, or null.</param>
    public LightCorrection With(IReadOnlyList<double> gain, ILightField? field, IReadOnlyList<double>? glare) =>
        new(gain, field is null ? _fields : [.. _fields, field], glare, _dark);

    /// <summary>Whether it is the same all over the frame.</summary>
    public bool IsUniform => _fields.Count == 0 && _dark is null;

    /// <summary>Pixels over which the correction may be taken as straight.</summary>
    public int Knot => _fields.Select(one => one.Knot).Append(32).Min();

    /// <summary>Whether it changes nothing.</summary>
    public bool IsNone => IsUniform && _gain.All(gain => gain == 1) && (_glare is null || _glare.All(light => light == 0));

    /// <summary>The factor at an offset from the centre of the upright frame, px.</summary>
    public double Factor(int band, double dx, double dy)
    {
        double factor = _gain[band];
        foreach (ILightField field in _fields)
            factor *= field.Factor(band, dx, dy);
        return factor;
    }

    /// <summary>The light taken off at a place.</summary>
    public double Offset(int band, double dx, double dy) => (_glare?[band] ?? 0) + (_dark?.Value(band, dx, dy) ?? 0);

    /// <summary>Evens out the light of a place.</summary>
    public double Apply(int band, double light, double dx, double dy) => (light - Offset(band, dx, dy)) * Factor(band, dx, dy);
}
