using Imbrex.Engine.Photometry;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

public sealed class ToneCurveTests(ITestOutputHelper output)
{
    // Reference sheet 3.6 (IEC 61966-2-1); the gammas are those of common working spaces.
    private static readonly Dictionary<string, Func<double, double>> Curves = new()
    {
        ["srgb"] = SrgbCurve.Decode,
        ["gamma 1.8"] = x => Math.Pow(x, 1.8),
        ["gamma 2.2"] = x => Math.Pow(x, 563 / 256.0),
        ["gamma 2.6"] = x => Math.Pow(x, 2.6),
        ["linear"] = x => x,
    };

    public static TheoryData<string> Names => [.. Curves.Keys];

    [Theory]
    [MemberData(nameof(Names))]
    public void All_65536_codes_come_back(string name)
    {
        var curve = new ToneCurve(Curves[name]);
        double worst = 0;
        for (int code = 0; code <= ToneCurve.White; code++)
            worst = Math.Max(worst, Math.Abs(curve.Code(curve.Linear((ushort)code)) - code));
        output.WriteLine($"{name}: {worst:0.0000} codes");
        Assert.InRange(worst, 0, 0.49);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void A_gain_multiplies_light_and_never_turns_the_order_of_codes(string name)
    {
        var curve = new ToneCurve(Curves[name]);
        foreach (double gain in new[] { 0.3, 0.97, 1.0, 1.04, 2.5 })
        {
            float[] gained = [.. Enumerable.Range(0, 65536).Select(code => curve.Code((float)(curve.Linear((ushort)code) * gain)))];
            for (int code = 1; code <= ToneCurve.White; code++)
                Assert.True(gained[code] >= gained[code - 1], $"gain {gain}, code {code}");
            for (int code = 3000; code <= ToneCurve.White; code += 997)
            {
                double want = Math.Min(1, gain * Curves[name](code / 65535.0)), got = Curves[name](gained[code] / 65535.0);
                Assert.Equal(want, got, 2e-4 * want + 1e-6);
            }
        }
    }

    [Fact]
    public void Light_outside_the_range_is_clipped()
    {
        var curve = new ToneCurve(SrgbCurve.Decode);
        Assert.Equal((0f, 65535f), (curve.Code(-1), curve.Code(7)));
    }

    [Fact]
    public void Curves_that_cannot_be_undone_are_refused()
    {
        Assert.Throws<ArgumentException>(() => new ToneCurve(x => 1 - x));
        Assert.Throws<ArgumentException>(() => new ToneCurve(_ => 0.5));
        Assert.Throws<ArgumentException>(() => new ToneCurve(x => x is > 0.4 and < 0.41 ? double.NaN : x));
        Assert.Throws<ArgumentException>(() => new ToneCurve(x => Math.Pow(x, -1)));
        Assert.Throws<ArgumentException>(() => new ToneCurve(x => x > 0.9 ? double.PositiveInfinity : x));
    }
}
