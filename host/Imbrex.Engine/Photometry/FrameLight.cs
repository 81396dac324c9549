namespace Imbrex.Engine.Photometry;

/// <summary>The three tone curves of a take's frames, and whether they are the profile's own.</summary>
public sealed class FrameLight
{
    private FrameLight(IReadOnlyList<ToneCurve> curves, bool isAssumed) => (Curves, IsAssumed) = (curves, isAssumed);

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
                return new([.. own.Select(curve => new ToneCurve(curve))], isAssumed: false);
            }
            catch (ArgumentException)
            {
                // A curve that falls cannot be undone; a finding says that sRGB was taken instead.
            }
        }
        var srgb = new ToneCurve(DecodeSrgb);
        return new([srgb, srgb, srgb], isAssumed: true);
    }

    // IEC 61966-2-1.
    private static double DecodeSrgb(double x) => x <= 0.04045 ? x / 12.92 : Math.Pow((x + 0.055) / 1.055, 2.4);
}
