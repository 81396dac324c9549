using Imbrex.Engine.Photometry;
using NetVips;
using Xunit;

namespace Imbrex.Reference.Tests.Colour;

/// <summary>IEC 61966-2-1; values of the reference sheet 3.6, computed from the standard's formula to six digits.</summary>
public sealed class SrgbCurveTests
{
    [Theory]
    [InlineData(0.18, 0.461356)]
    [InlineData(0.5, 0.735357)]
    [InlineData(0, 0)]
    [InlineData(1, 1)]
    public void Encoding_gives_the_values_of_the_standard(double linear, double encoded) => Assert.Equal(encoded, SrgbCurve.Encode(linear), 5e-7);

    [Theory]
    [InlineData(0.5, 0.214041)]
    [InlineData(0.04045, 0.04045 / 12.92)]
    public void Decoding_gives_the_values_of_the_standard(double encoded, double linear) => Assert.Equal(linear, SrgbCurve.Decode(encoded), 5e-7);

    [Fact]
    public void All_sixteen_bit_codes_survive_the_way_there_and_back()
    {
        for (int code = 0; code < 65536; code++)
        {
            Assert.Equal(code, (int)Math.Round(65535 * SrgbCurve.Encode(SrgbCurve.Decode(code / 65535.0))));
            Assert.Equal(code, SrgbCurve.Encode16(SrgbCurve.Decode16[code]));
        }
    }

    [Fact]
    public void The_table_is_the_curve_within_a_twentieth_of_a_code()
    {
        for (int i = 0; i <= 1_000_000; i++)
        {
            double exact = 65535 * SrgbCurve.Encode((float)(i / 1e6));
            Assert.InRange(SrgbCurve.Encode16((float)(i / 1e6)) - exact, -0.55, 0.55);
        }
    }

    [Fact]
    public void Light_outside_the_range_is_clipped()
    {
        Assert.Equal((0, 65535), (SrgbCurve.Encode16(-0.2f), SrgbCurve.Encode16(1.7f)));
        Assert.Equal(0, SrgbCurve.Encode(-1));
        Assert.Equal(1, SrgbCurve.Encode(3), 1e-15);
        Assert.Equal((0.0, 1.0), (SrgbCurve.Decode(-1), SrgbCurve.Decode(3)));
    }

    // libvips' own conversion, which keeps 8-bit tables: within what those round.
    [Fact]
    public void Libvips_decodes_eight_bit_codes_to_the_same_light()
    {
        byte[] codes = [.. Enumerable.Range(0, 256).SelectMany(code => Enumerable.Repeat((byte)code, 3))];
        using Image encoded = Image.NewFromMemory(codes, 256, 1, 3, Enums.BandFormat.Uchar).Copy(interpretation: Enums.Interpretation.Srgb);
        using Image linear = encoded.Colourspace(Enums.Interpretation.Scrgb);
        float[] light = linear.WriteToMemory<float>();
        for (int code = 0; code < 256; code++)
            Assert.Equal(SrgbCurve.Decode(code / 255.0), light[code * 3 + 1], 1e-5);
    }

    // CIE 15: L* of 18 % reflectance; reference sheet 3.6.
    [Fact]
    public void Eighteen_percent_grey_has_the_lightness_that_photographers_know()
    {
        ushort code = SrgbCurve.Encode16(0.18f);
        using Image grey = Image.NewFromMemory<ushort>([code, code, code], 1, 1, 3, Enums.BandFormat.Ushort).Copy(interpretation: Enums.Interpretation.Rgb16);
        using Image lab = grey.Colourspace(Enums.Interpretation.Lab);
        Assert.Equal(49.4961, lab[0, 0][0], 0.2);
    }
}
