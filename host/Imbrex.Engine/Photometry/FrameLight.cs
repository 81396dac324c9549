namespace Imbrex.Engine.Photometry;

/// <summary>How a take's frames encode light: three tone curves and the colours of the three primaries.</summary>
public sealed class FrameLight
{
    // sRGB's primaries adapted to D50, X Y Z of R, G, B (IEC 61966-2-1 with the Bradford transform; from memory).
    private static readonly double[][] SrgbPrimaries = [[0.43607, 0.22249, 0.01392], [0.38515, 0.71687, 0.09708], [0.14307, 0.06061, 0.71410]];

    // The white of the profile connection space, D50 (ICC.1:2010).
    private static readonly double[] White = [0.9642, 1, 0.8249];

    private readonly double[][] _primaries;

    private FrameLight(IReadOnlyList<ToneCurve> curves, double[][] primaries, bool isAssumed) =>
        (Curves, _primaries, IsAssumed) = (curves, primaries, isAssumed);

    /// <summary>R, G, B.</summary>
    public IReadOnlyList<ToneCurve> Curves { get; }

    /// <summary>True where there was no profile, or one without tone curves, and sRGB was taken instead.</summary>
    public bool IsAssumed { get; }

    /// <summary>Takes the curves from an embedded profile; sRGB where there are none.</summary>
    public static FrameLight FromProfile(ReadOnlySpan<byte> profile)
    {
        if (IccCurves.Read(profile) is { } own)
        {
            try
            {
                return new([.. own.Select(curve => new ToneCurve(curve))], IccCurves.ReadPrimaries(profile) ?? SrgbPrimaries, isAssumed: false);
            }
            catch (ArgumentException)
            {
                // A curve that falls cannot be undone; a finding says that sRGB was taken instead.
            }
        }
        var srgb = new ToneCurve(SrgbCurve.Decode);
        return new([srgb, srgb, srgb], SrgbPrimaries, isAssumed: true);
    }

    /// <summary>CIE L*a*b* (D50) of linear R, G, B.</summary>
    public (double L, double A, double B) ToLab(IReadOnlyList<double> rgb)
    {
        ArgumentNullException.ThrowIfNull(rgb);
        Span<double> f = stackalloc double[3];
        for (int i = 0; i < 3; i++)
        {
            double ratio = (rgb[0] * _primaries[0][i] + rgb[1] * _primaries[1][i] + rgb[2] * _primaries[2][i]) / White[i];
            // CIE 15: the cube root, straight below (6/29)^3.
            f[i] = ratio > 216.0 / 24389 ? Math.Cbrt(ratio) : (24389.0 / 27 * ratio + 16) / 116;
        }
        return (116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2]));
    }
}
