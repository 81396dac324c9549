using Imbrex.Engine.Resampling;
using Xunit;

namespace Imbrex.Engine.Tests.Resampling;

public sealed class ResamplerTests(ITestOutputHelper output)
{
    private const int Side = 120;

    [Theory]
    [InlineData(0)]
    [InlineData(0.05)]
    [InlineData(0.3)]
    [InlineData(-0.5)]
    [InlineData(0.9)]
    [InlineData(-4)]
    [InlineData(31)]
    [InlineData(178)]
    public void Any_map_gives_what_the_kernel_gives_in_double_precision(double degrees)
    {
        var random = new Random(7);
        Planar source = Planar.Allocate(Side, Side, 2), target = Planar.Allocate(45, 37, 2);
        // Noise from black to white: the hardest picture there is, since no two weights' errors cancel.
        for (int i = 0; i < source.Pixels.Length; i++)
            source.Pixels[i] = random.NextSingle() * 65535;
        double worst = 0, squares = 0;
        for (int trial = 0; trial < 6; trial++)
        {
            RigidMap map = Centred(target, degrees + 0.01 * trial * Math.Sign(degrees), random.NextDouble(), random.NextDouble());
            Array.Fill(target.Pixels, float.NaN);
            Resampler.Resample(source, target, map);
            for (int i = 0; i < target.Pixels.Length; i++)
            {
                int plane = i / target.PlaneSize, row = i % target.PlaneSize / target.Width, column = i % target.Width;
                double error = Math.Abs(target.Pixels[i] - Exact(source, plane, map, column, row));
                Assert.False(double.IsNaN(error));
                worst = Math.Max(worst, error);
                squares += error * error / target.Pixels.Length / 6;
            }
        }
        output.WriteLine($"{degrees} deg: worst {worst:0.000} codes, RMS {Math.Sqrt(squares):0.0000}");
        // Of 65535 codes, on noise: measured 0.6 at 0.3 degrees, 2.6 at 0.5, 11 at 0.9 (the end of the Taylor step's reach), 0.03 elsewhere.
        // Pictures, whose neighbours are alike, lie far below.
        Assert.InRange(worst, 0, Math.Abs(degrees) switch { > 0.7 and < 1 => 15, >= 0.3 and < 1 => 4, _ => 0.05 });
    }

    [Theory]
    [InlineData(0)]
    [InlineData(0.6)]
    [InlineData(12)]
    public void A_constant_stays_constant(double degrees)
    {
        Planar source = Planar.Allocate(Side, Side, 1), target = Planar.Allocate(45, 37, 1);
        Array.Fill(source.Pixels, 40000f);
        Resampler.Resample(source, target, Centred(target, degrees, 0.37, 0.81));
        Assert.All(target.Pixels, value => Assert.InRange(value, 39999.9f, 40000.1f));
    }

    [Fact]
    public void A_map_by_whole_pixels_copies_exactly()
    {
        Planar source = Planar.Allocate(Side, Side, 1), target = Planar.Allocate(45, 37, 1);
        for (int i = 0; i < source.Pixels.Length; i++)
            source.Pixels[i] = i * 7919 % 65536;
        var map = new RigidMap(21, 34, 0);
        Assert.True(map.IsWhole);
        Resampler.Resample(source, target, map);
        for (int i = 0; i < target.Pixels.Length; i++)
            Assert.Equal(source.Pixels[(34 + i / 45) * Side + 21 + i % 45], target.Pixels[i]);
    }

    /// <summary>
    /// What reaches the other side. Measured: at half the Nyquist frequency between 1 (whole pixels) and 1.009 (half a pixel), moved by up to
    /// 0.0014 px; at a fifth of Nyquist at least 0.993 and 0.0011 px; at three quarters the worst phase leaves 0.775 and moves by 0.039 px.
    /// </summary>
    [Theory]
    [InlineData(0.01, 0.9998, 1.0001, 1e-4)]
    [InlineData(0.1, 0.99, 1.001, 0.0015)]
    [InlineData(0.25, 0.98, 1.01, 0.0015)]
    [InlineData(0.375, 0.77, 1.01, 0.04)]
    public void Detail_passes_at_every_phase(double cyclesPerPixel, double least, double most, double mostMove)
    {
        Span<double> weights = stackalloc double[Kernel.Taps];
        (double low, double high, double move) = (2, 0, 0);
        for (int phase = 0; phase <= 64; phase++)
        {
            // Fit of amplitude and phase over a long row is the same as the kernel's transform at that frequency.
            Kernel.Exact(phase / 64.0, weights);
            (double re, double im) = (0, 0);
            for (int tap = 0; tap < Kernel.Taps; tap++)
            {
                double angle = 2 * Math.PI * cyclesPerPixel * (tap - 2 - phase / 64.0);
                re += weights[tap] * Math.Cos(angle);
                im += weights[tap] * Math.Sin(angle);
            }
            double modulation = Math.Sqrt(re * re + im * im);
            (low, high) = (Math.Min(low, modulation), Math.Max(high, modulation));
            move = Math.Max(move, Math.Abs(Math.Atan2(im, re) / (2 * Math.PI * cyclesPerPixel)));
        }
        output.WriteLine($"{cyclesPerPixel} cycles/px: {low:0.0000} to {high:0.0000}, moved {move:0.0000} px");
        Assert.InRange(move, 0, mostMove);
        Assert.InRange(low, least, most);
        Assert.InRange(high, least, most);
    }

    [Fact]
    public void The_Resampler_itself_passes_half_Nyquist_at_the_worst_phase()
    {
        Planar source = Planar.Allocate(Side, Side, 1), target = Planar.Allocate(64, 40, 1);
        for (int i = 0; i < source.Pixels.Length; i++)
            source.Pixels[i] = (float)(30000 + 20000 * Math.Cos(Math.PI / 2 * (i % Side) + 0.3));
        Resampler.Resample(source, target, new(20.5, 20.5, 0));
        double cos = 0, sin = 0;
        for (int x = 0; x < 64; x++)
        {
            cos += target.Pixels[10 * 64 + x] * Math.Cos(Math.PI / 2 * x) / 32;
            sin += target.Pixels[10 * 64 + x] * Math.Sin(Math.PI / 2 * x) / 32;
        }
        double modulation = Math.Sqrt(cos * cos + sin * sin) / 20000;
        output.WriteLine($"{modulation:0.0000}");
        Assert.InRange(modulation, 0.98, 1.03);
    }

    [Fact]
    public void The_Taylor_step_keeps_to_its_error_over_its_whole_reach()
    {
        var weights = new double[Kernel.Taps];
        double worst = 0;
        for (int phase = 16; phase <= Kernel.Phases - 16; phase++)
        {
            foreach (double d in new[] { -Kernel.Reach, -0.03, 0.03, Kernel.Reach })
            {
                Kernel.Exact(phase / (double)Kernel.Phases + d, weights);
                for (int tap = 0; tap < Kernel.Taps; tap++)
                {
                    int i = phase * Kernel.Taps + tap;
                    worst = Math.Max(worst, Math.Abs(Kernel.Value[i] + d * (Kernel.Slope[i] + d * Kernel.Bend[i]) - weights[tap]));
                }
            }
        }
        output.WriteLine($"{worst:0.000000}");
        Assert.InRange(worst, 0, 2e-4);
    }

    private static RigidMap Centred(Planar target, double degrees, double fractionX, double fractionY)
    {
        double angle = degrees * Math.PI / 180, dx = (target.Width - 1) / 2.0, dy = (target.Height - 1) / 2.0;
        (double sin, double cos) = Math.SinCos(angle);
        return new(Side / 2 + fractionX - cos * dx + sin * dy, Side / 2 + fractionY - sin * dx - cos * dy, angle);
    }

    private static double Exact(Planar source, int plane, RigidMap map, int column, int row)
    {
        (double sin, double cos) = Math.SinCos(map.Angle);
        double x = map.X + cos * column - sin * row, y = map.Y + sin * column + cos * row;
        var (wx, wy) = (new double[Kernel.Taps], new double[Kernel.Taps]);
        Kernel.Exact(x - Math.Floor(x), wx);
        Kernel.Exact(y - Math.Floor(y), wy);
        double sum = 0;
        for (int j = 0; j < Kernel.Taps; j++)
        {
            for (int i = 0; i < Kernel.Taps; i++)
                sum += wy[j] * wx[i] * source.Pixels[plane * source.PlaneSize + ((int)Math.Floor(y) - 2 + j) * source.Width + (int)Math.Floor(x) - 2 + i];
        }
        return sum;
    }
}
