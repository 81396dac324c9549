using Imbrex.Engine.Photometry;
using NetVips;
using Xunit;

namespace Imbrex.Reference.Tests.Merging;

/// <summary>Tone curves read from profiles against littleCMS, which libvips uses for colour.</summary>
public sealed class ProfileCurves(ITestOutputHelper output)
{
    /// <summary>
    /// A ramp of one channel alone, taken to XYZ by libvips' <c>icc_import</c> (littleCMS), relative to its own brightest: the ratio is that
    /// channel's linear light. Read in the component that the channel fills most: X for red, Y for green, Z for blue. Measured: 0.00038 of
    /// full light at most. Both profiles hold the curve of IEC 61966-2-1 (sRGB; Display P3 takes it over), from which the decoded curves are
    /// 0.000003 away; the rest is littleCMS working in 16 bits.
    /// </summary>
    [Theory]
    [InlineData("srgb")]
    [InlineData("p3")]
    public void Decoded_ramps_are_littleCMS_as_far_as_that_is_exact(string profile)
    {
        IReadOnlyList<Func<double, double>> curves = Assert.IsAssignableFrom<IReadOnlyList<Func<double, double>>>(IccCurves.Read(Image.ProfileLoad(profile)));
        FrameLight light = FrameLight.FromProfile(Image.ProfileLoad(profile));
        Assert.False(light.IsAssumed);
        double worst = 0, exactly = 0;
        for (int band = 0; band < 3; band++)
        {
            float[] xyz = Imported(profile, band);
            for (int i = 0; i < Steps; i++)
            {
                double code = Code(i) / 65535.0, want = xyz[3 * i + band] / xyz[3 * (Steps - 1) + band];
                exactly = Math.Max(exactly, Math.Abs(curves[band](code) - SrgbCurve.Decode(code)));
                worst = Math.Max(worst, Math.Max(Math.Abs(curves[band](code) - want), Math.Abs(light.Curves[band].Linear(Code(i)) - want)));
            }
        }
        output.WriteLine($"{profile}: {worst:0.000000} from littleCMS, {exactly:0.000000} from the standard");
        Assert.InRange(exactly, 0, 1e-5);
        Assert.InRange(worst, 0, 5e-4);
    }

    private const int Steps = 257;

    private static ushort Code(int step) => (ushort)(step * 65535 / (Steps - 1));

    private static float[] Imported(string profile, int band)
    {
        var codes = new ushort[Steps * 3];
        for (int i = 0; i < Steps; i++)
            codes[3 * i + band] = Code(i);
        using Image ramp = Image.NewFromMemoryCopy(codes, Steps, 1, 3, Enums.BandFormat.Ushort).Copy(interpretation: Enums.Interpretation.Rgb16);
        using Image xyz = ramp.IccImport(inputProfile: profile, pcs: Enums.PCS.Xyz, intent: Enums.Intent.Relative);
        using Image plain = xyz.Cast(Enums.BandFormat.Float);
        return plain.WriteToMemory<float>();
    }
}
