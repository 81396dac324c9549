using Imbrex.Engine.Blending;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

/// <summary>Values become codes: those between two codes by chance, whole ones as they are.</summary>
public sealed class SampleRowTests(ITestOutputHelper output)
{
    private const int Width = 1021;

    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    public void Codes_lie_at_either_side_of_the_value_each_in_its_place(int bands)
    {
        var random = new Random(4);
        float[] values = [.. Enumerable.Range(0, 3 * Width).Select(i => i % 17 == 0 ? -900f : i % 19 == 0 ? 70000f : random.NextSingle() * 65535)];
        ushort[] samples = Stored(values, 5, 9, bands);
        for (int x = 0; x < Width; x++)
        {
            for (int band = 0; band < 3; band++)
            {
                float value = Math.Clamp(values[band * Width + x], 0, 65535);
                Assert.InRange(samples[x * bands + band], MathF.Floor(value), MathF.Ceiling(value));
            }
            if (bands == 4)
                Assert.Equal(65535, samples[x * 4 + 3]);
        }
    }

    [Fact]
    public void Whole_codes_stay_what_they_are_wherever_they_stand()
    {
        float[] values = new float[3 * Width];
        for (int code = 0; code < 65536; code++)
        {
            values[code % values.Length] = code;
            if ((code + 1) % values.Length != 0 && code != 65535)
                continue;
            ushort[] samples = Stored(values, code, 65535 - code, 3);
            for (int i = 0; i < values.Length; i++)
                Assert.Equal((int)values[i], samples[i % Width * 3 + i / Width]);
        }
    }

    [Fact]
    public void A_smooth_slope_keeps_its_fractions_in_the_mean_and_shows_no_bands()
    {
        // A sky that rises by one code in 400 pixels: rounded, it would be bands of 400 equal pixels.
        const int Rows = 64;
        var values = new float[3 * Width];
        double worst = 0, squares = 0;
        int blocks = 0, longest = 0;
        var sums = new double[Width];
        for (int row = 0; row < Rows; row++)
        {
            for (int i = 0; i < values.Length; i++)
                values[i] = 41000.3f + i % Width / 400f;
            ushort[] samples = Stored(values, 0, row, 3);
            for (int x = 0, equal = 1; x < Width; x++)
            {
                sums[x] += samples[3 * x];
                equal = x > 0 && samples[3 * x] == samples[3 * x - 3] ? equal + 1 : 1;
                longest = Math.Max(longest, equal);
            }
            for (int x = 0; x + 64 <= Width; x += 64)
            {
                for (int band = 0; band < 3; band++)
                {
                    double error = Enumerable.Range(x, 64).Average(i => samples[3 * i + band] - (double)values[i]);
                    worst = Math.Max(worst, Math.Abs(error));
                    squares += error * error;
                    blocks++;
                }
            }
        }
        double down = Enumerable.Range(0, Width).Max(x => Math.Abs(sums[x] / Rows - values[x]));
        output.WriteLine($"64 px of a row: RMS {Math.Sqrt(squares / blocks):0.000}, worst {worst:0.000}; 64 px of a column: worst {down:0.000}; longest run {longest}");
        // The mean of 64 independent choices between two codes has a standard deviation of at most 0.5 / 8 codes.
        Assert.InRange(Math.Sqrt(squares / blocks), 0, 0.0625);
        Assert.InRange(worst, 0, 0.3);
        Assert.InRange(down, 0, 0.3);
        Assert.InRange(longest, 1, 250);
    }

    [Fact]
    public void The_channels_and_neighbouring_pixels_are_rounded_independently()
    {
        float[] values = new float[3 * Width];
        Array.Fill(values, 1000.5f);
        double[] products = new double[4];
        const int Rows = 40;
        for (int row = 0; row < Rows; row++)
        {
            ushort[] here = Stored(values, 0, row, 3), below = Stored(values, 0, row + 1, 3);
            for (int x = 0; x < Width - 1; x++)
            {
                double Sign(ushort[] samples, int i) => samples[i] == 1000 ? -1 : 1;
                products[0] += Sign(here, 3 * x) * Sign(here, 3 * x + 1);
                products[1] += Sign(here, 3 * x + 1) * Sign(here, 3 * x + 2);
                products[2] += Sign(here, 3 * x) * Sign(here, 3 * x + 3);
                products[3] += Sign(here, 3 * x) * Sign(below, 3 * x);
            }
        }
        // Five standard deviations of a sum of independent signs.
        Assert.All(products, sum => Assert.InRange(sum, -5 * Math.Sqrt(Rows * Width), 5 * Math.Sqrt(Rows * Width)));
    }

    [Fact]
    public void A_pixel_is_rounded_alike_in_whatever_piece_it_is_stored()
    {
        float[] values = [.. Enumerable.Range(0, 3 * Width).Select(i => 300 + i * 0.37f)];
        ushort[] whole = Stored(values, 40, 7, 3);
        for (int start = 1; start < 40; start += 3)
        {
            var part = new ushort[3 * 50];
            SampleRow.Store(values.AsSpan(start), Width, 40 + start, 7, 3, part);
            Assert.Equal(whole[(3 * start)..(3 * start + part.Length)], part);
        }
    }

    private static ushort[] Stored(float[] values, int x, int y, int bands)
    {
        var samples = new ushort[Width * bands];
        SampleRow.Store(values, Width, x, y, bands, samples);
        return samples;
    }
}
