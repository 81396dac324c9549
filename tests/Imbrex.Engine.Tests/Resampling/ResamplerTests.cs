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
    [InlineData(9.5)]
    [InlineData(31)]
    [InlineData(178)]
    public void A_turned_map_gives_what_the_kernel_gives_in_double_precision(double degrees)
    {
        var random = new Random(7);
        Planar source = Planar.Allocate(Side, Side, 2), target = Planar.Allocate(45, 37, 2);
        // Noise from black to white: the hardest picture there is, since no two weights' errors cancel.
        for (int i = 0; i < source.Pixels.Length; i++)
            source.Pixels[i] = random.NextSingle() * 65535;
        double worst = 0, squares = 0;
        for (int trial = 0; trial < 6; trial++)
        {
            PlaneMap map = Centred(target, degrees + 0.01 * trial * Math.Sign(degrees), random.NextDouble(), random.NextDouble());
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
        // Of 65535 codes, on noise: measured 0.6 at 0.3 degrees, 2.6 at 0.5, 12 at 0.9 and 8 at 9.5 (the end of the Taylor step's reach down the columns,
        // and, for 1 / cos, along the rows), 0.07 elsewhere.
        // Pictures, whose neighbours are alike, lie far below.
        Assert.InRange(worst, 0, Math.Abs(degrees) switch { > 0.7 and < 1 or > 9 and < 10 => 15, >= 0.3 and < 1 => 4, _ => 0.1 });
    }

    public static TheoryData<double, double, double, double, double, double> Bent => new()
    {
        // Scale and shear, then tilt, 1/px: a sensor tilted by a tenth of a degree; ten times as much; a scale that takes the weights from one phase to the
        // next within eight pixels.
        { 0, 0, 0, 0, 1e-7, -8e-8 },
        { 1e-4, 2e-4, -3e-4, 5e-5, -1e-6, 9e-7 },
        { 2e-3, 1e-3, 2e-3, -2e-3, 0, 0 },
        { -0.03, 0.01, 0.02, 0.03, 1e-6, 0 },
    };

    [Theory]
    [MemberData(nameof(Bent))]
    public void A_bent_map_gives_what_the_kernel_gives_in_double_precision(double xx, double xy, double yx, double yy, double wx, double wy)
    {
        var random = new Random(9);
        Planar source = Planar.Allocate(480, 300, 1), target = Planar.Allocate(421, 230, 1);
        for (int i = 0; i < source.Pixels.Length; i++)
            source.Pixels[i] = random.NextSingle() * 65535;
        // So far from the sensor's middle as a large frame's corner, where the lines bend most.
        PlaneMap map = new PlaneMap(1 + xx, xy, 0, yx, 1 + yy, 0, wx, wy).Of(3000, 2000);
        (double middleX, double middleY) = map.At(210, 115);
        map = map.From(Math.Round(middleX) - 240 + 0.37, Math.Round(middleY) - 150 + 0.81);
        Array.Fill(target.Pixels, float.NaN);
        Resampler.Resample(source, target, map);
        double worst = 0;
        for (int i = 0; i < target.PlaneSize; i += 7)
            worst = Math.Max(worst, Math.Abs(target.Pixels[i] - Exact(source, 0, map, i % target.Width, i / target.Width)));
        output.WriteLine($"worst {worst:0.000} codes");
        // A position wrong by 3e-4 px, the most that a segment bends, changes noise from black to white by up to 40 codes.
        Assert.InRange(worst, 0, 1 + 40 * Math.Max(Math.Abs(wx), Math.Abs(wy)) / 1e-6);
    }

    [Fact]
    public void Within_a_segment_a_tilted_line_bends_by_less_than_a_thousandth_of_a_pixel()
    {
        double worst = 0;
        foreach (double g in new[] { 1e-7, 1e-6 })
        {
            for (int column = -4500; column < 4500; column += 32)
            {
                PlaneMap map = new PlaneMap(1, 0, 0, 0, 1, 0, g, g).Of(column, 3000);
                for (int i = 0; i < 32; i++)
                    worst = Math.Max(worst, Math.Abs(map.At(i, 0).X - (map.At(0, 0).X + i / 32.0 * (map.At(32, 0).X - map.At(0, 0).X))));
            }
        }
        output.WriteLine($"{worst:0.000000} px");
        Assert.InRange(worst, 1e-6, 3e-4);
    }

    /// <summary>Waves in every direction up to half of Nyquist, against what they are at the sampled positions.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.3)]
    [InlineData(3)]
    [InlineData(9.5)]
    [InlineData(20)]
    public void Waves_come_out_where_and_as_high_as_they_are(double degrees)
    {
        Planar source = Planar.Allocate(Side, Side, 1), target = Planar.Allocate(45, 37, 1);
        double worst = 0;
        for (int direction = 0; direction < 12; direction++)
        {
            (double fy, double fx) = Math.SinCos(direction * Math.PI / 12);
            double Wave(double x, double y) => 30000 + 20000 * Math.Cos(2 * Math.PI * 0.25 * (fx * x + fy * y) + 0.4);
            for (int i = 0; i < source.Pixels.Length; i++)
                source.Pixels[i] = (float)Wave(i % Side, i / Side);
            PlaneMap map = Centred(target, degrees, 0.37, 0.53);
            Resampler.Resample(source, target, map);
            for (int i = 0; i < target.PlaneSize; i++)
            {
                (double x, double y) = map.At(i % target.Width, i / target.Width);
                worst = Math.Max(worst, Math.Abs(target.Pixels[i] - Wave(x, y)) / 20000);
            }
        }
        output.WriteLine($"{degrees} deg: {worst:0.0000}");
        // Measured: 0.008 level, 0.010 turned: what the kernel leaves at one phase across and down.
        Assert.InRange(worst, 0, 0.012);
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
        PlaneMap map = new RigidMap(21, 34, 0);
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

    /// <summary>The passband: modulation of at least 0.98 at half the Nyquist frequency, 0.25 cycles a pixel, across and down, at every phase.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.2)]
    public void Half_Nyquist_passes_at_every_phase(double degrees)
    {
        Planar source = Planar.Allocate(Side, Side, 2), target = Planar.Allocate(64, 40, 2);
        for (int i = 0; i < source.PlaneSize; i++)
        {
            source.Pixels[i] = (float)(30000 + 20000 * Math.Cos(Math.PI / 2 * (i % Side) + 0.3));
            source.Pixels[source.PlaneSize + i] = (float)(30000 + 20000 * Math.Cos(Math.PI / 2 * (i / Side) + 0.3));
        }
        (double least, double most) = (2, 0);
        for (int phase = 0; phase < 32; phase++)
        {
            PlaneMap map = Centred(target, degrees, phase / 32.0, phase / 32.0);
            Resampler.Resample(source, target, map);
            for (int plane = 0; plane < 2; plane++)
            {
                (double cos, double sin) = (0, 0);
                for (int i = 0; i < target.PlaneSize; i++)
                {
                    (double x, double y) = map.At(i % 64, i / 64);
                    double angle = Math.PI / 2 * (plane == 0 ? x : y);
                    cos += (target.Pixels[plane * target.PlaneSize + i] - 30000) * Math.Cos(angle) / target.PlaneSize * 2;
                    sin += (target.Pixels[plane * target.PlaneSize + i] - 30000) * Math.Sin(angle) / target.PlaneSize * 2;
                }
                double modulation = Math.Sqrt(cos * cos + sin * sin) / 20000;
                (least, most) = (Math.Min(least, modulation), Math.Max(most, modulation));
            }
        }
        output.WriteLine($"{least:0.0000} to {most:0.0000}");
        Assert.InRange(least, 0.98, 1.01);
        Assert.InRange(most, 0.98, 1.01);
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
                    ReadOnlySpan<float> taylor = Kernel.Taylor.AsSpan(phase * Kernel.PhaseLength + 3 * tap, 3);
                    worst = Math.Max(worst, Math.Abs(taylor[0] + d * (taylor[1] + d * taylor[2]) - weights[tap]));
                }
            }
        }
        output.WriteLine($"{worst:0.000000}");
        Assert.InRange(worst, 0, 2e-4);
    }

    private static PlaneMap Centred(Planar target, double degrees, double fractionX, double fractionY)
    {
        double angle = degrees * Math.PI / 180, dx = (target.Width - 1) / 2.0, dy = (target.Height - 1) / 2.0;
        (double sin, double cos) = Math.SinCos(angle);
        return new RigidMap(Side / 2 + fractionX - cos * dx + sin * dy, Side / 2 + fractionY - sin * dx - cos * dy, angle);
    }

    // Straight from the definition: across each of six source rows where it meets the target's column, then down; or both about one position.
    private static double Exact(Planar source, int plane, PlaneMap map, int column, int row)
    {
        (double x, double y) = map.At(column, row);
        double[] wx = new double[Kernel.Taps], wy = new double[Kernel.Taps];
        Kernel.Exact(y - Math.Floor(y), wy);
        double sum = 0;
        for (int j = 0; j < Kernel.Taps; j++)
        {
            int sourceRow = (int)Math.Floor(y) - 2 + j;
            double at = map.IsNearlyLevel ? map.ColumnAt(column, sourceRow) : x;
            Kernel.Exact(at - Math.Floor(at), wx);
            for (int i = 0; i < Kernel.Taps; i++)
                sum += wy[j] * wx[i] * source.Pixels[plane * source.PlaneSize + sourceRow * source.Width + (int)Math.Floor(at) - 2 + i];
        }
        return sum;
    }
}
