using Imbrex.Engine.Photometry;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Rows of codes, evened out eight at a time, against the curve's own arithmetic code by code.</summary>
public sealed class EveningTests(ITestOutputHelper output)
{
    private static readonly FrameLight Light = FrameLight.FromProfile([]);

    public static TheoryData<string> Cases => ["none", "one channel", "gain", "gain and glare", "shading", "shading and glare", "clipped"];

    [Theory]
    [MemberData(nameof(Cases))]
    public void A_row_of_any_length_is_what_the_curve_says_code_by_code(string name)
    {
        LightCorrection correction = name switch
        {
            "none" => LightCorrection.None,
            "one channel" => new([1, 1.07, 1]),
            "gain" => new([0.9, 1.07, 1.3]),
            "gain and glare" => new([0.9, 1.07, 1.3], glare: [0.001, 0.002, 0.003]),
            "shading" or "clipped" => new([0.9, 1.07, 1.3], [new Slope()]),
            _ => new([0.9, 1.07, 1.3], [new Slope()], [0.001, 0.002, 0.003]),
        };
        HighlightTone tone = name == "clipped" ? new(Shoulder.None, [.. Light.Curves.Select(curve => new LightEncoder(curve, Shoulder.None))], [true, false, true]) : HighlightTone.Plain(Light);
        var evening = new Evening(Light, correction, tone);
        Assert.Equal(name == "none", evening.IsNone);
        var random = new Random(3);
        double worst = 0;
        foreach (int width in new[] { 1, 7, 8, 9, 31, 32, 33, 64, 100, 517 })
        {
            ushort[] codes = [.. Enumerable.Range(0, 3 * width).Select(_ => (ushort)random.Next(65536))];
            // What rested goes on as before.
            evening.Rest();
            for (int band = 0; band < 3; band++)
            {
                var got = new float[width + 1];
                got[width] = -7;
                evening.Row(codes.AsSpan(band), band, -40, 12, got.AsSpan(0, width));
                Assert.Equal(-7, got[width]);
                ToneCurve curve = Light.Curves[band];
                for (int i = 0; i < width; i++)
                {
                    ushort code = codes[3 * i + band];
                    float recorded = curve.Linear(code), evened = (float)correction.Apply(band, recorded, i - 40, 12);
                    bool same = correction.Factor(band, i - 40, 12) == 1 && correction.Offset(band, i - 40, 12) == 0;
                    double want = same ? code : tone.Encoder(band).Code(recorded > tone.LiftsFrom(band) ? tone.Lift(recorded, evened) : evened);
                    worst = Math.Max(worst, Math.Abs(got[i] - want));
                }
            }
        }
        output.WriteLine($"{name}: {worst:0.0000} codes");
        // Between two knots the correction is taken as straight; the darkest codes are the steepest.
        Assert.InRange(worst, 0, name.StartsWith("shading", StringComparison.Ordinal) || name == "clipped" ? 0.2 : 0.02);
    }

    private sealed class Slope : ILightField
    {
        public double Factor(int band, double dx, double dy) => 1 + 1e-4 * dx - 2e-4 * dy + 1e-8 * band * dx * dx;
    }
}
