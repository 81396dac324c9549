using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Blocks of a picture that is known in closed form, so that the true displacement is exact.</summary>
public sealed class BlockMatchTests(ITestOutputHelper output)
{
    private static readonly Placement TrueA = new(150, 110, 0.002);

    [Theory]
    [InlineData(0, 0, 0)]
    [InlineData(1.37, -0.62, 0)]
    [InlineData(-2.4, 2.1, 0.4)]
    [InlineData(0.5, 0.5, -0.8)]
    [InlineData(-0.25, 1.75, 1.5)]
    public void Shift_and_rotation_of_an_analytic_scene_are_measured_to_thousandths_of_a_pixel(double dx, double dy, double degrees)
    {
        using var raw = new RawFrames();
        var trueB = new Placement(163.3, 117.8, degrees * Math.PI / 180);
        Frame a = Record(raw, TrueA, 1, 0), b = Record(raw, trueB, 0.9, 300);
        // Believed where the spot is (dx, dy) nearer than it is, on the canvas.
        var believed = trueB with { X = trueB.X + dx, Y = trueB.Y + dy };
        BlockMatch.Match match = Assert.NotNull(BlockMatch.Measure(a, new(90, 60, 128, 112), TrueA, b, believed, 3, new()));
        (double wantX, double wantY) = TrueA.ToFrame(TrueA.X + dx, TrueA.Y + dy);
        output.WriteLine($"error {match.Dx - wantX:0.00000}, {match.Dy - wantY:0.00000} px; sigma {1 / Math.Sqrt(match.Information.Xx):0.00000}");
        Assert.Equal(wantX, match.Dx, 2e-3);
        Assert.Equal(wantY, match.Dy, 2e-3);
    }

    /// <summary>Memory is used again: what another block, larger or smaller, left there must not show.</summary>
    [Fact]
    public void A_bench_that_was_used_before_changes_nothing()
    {
        using var raw = new RawFrames();
        var trueB = new Placement(163.3, 117.8, 0.003);
        Frame a = Record(raw, TrueA, 1, 0), b = Record(raw, trueB, 0.9, 300);
        Placement believed = trueB with { X = trueB.X + 0.7, Y = trueB.Y - 1.2 };
        var used = new MatchBench();
        foreach ((Block block, int radius) in new (Block, int)[] { (new(90, 60, 128, 112), 3), (new(100, 70, 64, 40), 3), (new(95, 61, 48, 90), 2), (new(92, 64, 120, 100), 3) })
        {
            BlockMatch.Match want = Assert.NotNull(BlockMatch.Measure(a, block, TrueA, b, believed, radius, new()));
            Assert.Equal(want, BlockMatch.Measure(a, block, TrueA, b, believed, radius, used));
        }
    }

    /// <summary>
    /// The claimed covariance against the scatter over noise. Measured with noise of 1 % of full light: the scatter is 0.78 times what is
    /// claimed with detail down to 6 px, 0.84 times with detail of 20 px and more.
    /// </summary>
    [Theory]
    [InlineData(1.0)]
    [InlineData(0.3)]
    public void The_claimed_covariance_is_honest_within_a_factor(double coarseness)
    {
        using var raw = new RawFrames();
        var trueB = new Placement(163.3, 117.8, 0.003);
        const int Seeds = 30;
        ushort[] cleanA = Clean(TrueA, coarseness), cleanB = Clean(trueB, coarseness);
        double distance = 0, meanX = 0, meanY = 0, varianceX = 0, claimed = 0;
        (double wantX, double wantY) = TrueA.ToFrame(TrueA.X + 0.4, TrueA.Y - 0.3);
        for (int seed = 1; seed <= Seeds; seed++)
        {
            Frame a = Noisy(raw, cleanA, 655, seed), b = Noisy(raw, cleanB, 655, seed + 1000);
            BlockMatch.Match match = Assert.NotNull(BlockMatch.Measure(a, new(90, 60, 128, 112), TrueA, b, trueB with { X = trueB.X + 0.4, Y = trueB.Y - 0.3 }, 3, new()));
            (double ex, double ey) = (match.Dx - wantX, match.Dy - wantY);
            distance += match.Information.SquaredDistance(ex, ey) / 2 / Seeds;
            (meanX, meanY) = (meanX + ex / Seeds, meanY + ey / Seeds);
            varianceX += ex * ex / Seeds;
            claimed += 1 / match.Information.Xx / Seeds;
        }
        double factor = Math.Sqrt(distance);
        output.WriteLine($"scatter x {Math.Sqrt(varianceX):0.00000} px, claimed {Math.Sqrt(claimed):0.00000}; overall factor {factor:0.00}; bias {meanX:0.00000}, {meanY:0.00000}");
        Assert.InRange(factor, 0.6, 1.2);
        Assert.InRange(Math.Abs(meanX), 0, 4 * Math.Sqrt(varianceX / Seeds) + 2e-3);
    }

    [Fact]
    public void What_cannot_be_measured_gives_nothing()
    {
        using var raw = new RawFrames();
        var random = new Random(1);
        Frame a = Record(raw, TrueA, 1, 0), flat = raw.Of(300, 220, (_, _, _) => 30000), noise = raw.Of(300, 220, (_, _, _) => random.Next(65536));
        Frame stripes = raw.Of(300, 220, (x, _, _) => 30000 + 10000 * Math.Sin(x * 0.4));
        var block = new Block(90, 60, 128, 112);
        Assert.Null(BlockMatch.Measure(flat, block, TrueA, a, TrueA, 3, new()));
        Assert.Null(BlockMatch.Measure(a, block, TrueA, flat, TrueA, 3, new()));
        Assert.Null(BlockMatch.Measure(a, block, TrueA, noise, TrueA, 3, new()));
        // Only one direction is fixed by stripes.
        Assert.Null(BlockMatch.Measure(stripes, block, TrueA, stripes, TrueA, 3, new()));
        // Beyond the other frame.
        Assert.Null(BlockMatch.Measure(a, block, TrueA, a, TrueA with { X = TrueA.X + 200 }, 3, new()));
    }

    [Theory]
    [InlineData(90)]
    [InlineData(135)]
    [InlineData(180)]
    public void Frames_turned_far_against_each_other_are_left_alone(double degrees)
    {
        using var raw = new RawFrames();
        Frame a = Record(raw, TrueA, 1, 0);
        _ = BlockMatch.Measure(a, new(90, 60, 128, 112), TrueA, a, TrueA with { Angle = degrees * Math.PI / 180 }, 3, new());
    }

    /// <summary>
    /// Shading that darkens the second frame by half from its left to its right: its detail grows weaker across the block, which without a ramp of gain in the
    /// model biases the shift by some hundredths of a pixel.
    /// </summary>
    [Fact]
    public void Shading_across_the_block_does_not_shift_it()
    {
        using var raw = new RawFrames();
        var trueB = new Placement(163.3, 117.8, 0.002);
        ushort[] cleanA = Clean(TrueA, 0.3), cleanB = Clean(trueB, 0.3);
        Frame a = raw.Of(Width, Height, (x, y, _) => cleanA[y * Width + x]);
        Frame b = raw.Of(Width, Height, (x, y, _) => cleanB[y * Width + x] * (1.2 - 0.6 * x / Width));
        BlockMatch.Match match = Assert.NotNull(BlockMatch.Measure(a, new(90, 60, 128, 112), TrueA, b, trueB, 0, new()));
        output.WriteLine($"error {match.Dx:0.0000}, {match.Dy:0.0000} px");
        Assert.InRange(Math.Sqrt(match.Dx * match.Dx + match.Dy * match.Dy), 0, 0.01);
    }

    /// <summary>Half of the block, or a corner of it, shows something that moved: a walker with detail of his own, or the same wall shifted by a little.</summary>
    [Theory]
    [InlineData(0.5, 200)]
    [InlineData(0.5, 3)]
    [InlineData(0.25, 1.5)]
    public void What_moves_in_part_of_a_block_does_not_pull_at_it(double part, double moved)
    {
        using var raw = new RawFrames();
        var trueB = new Placement(163.3, 117.8, 0.002);
        ushort[] cleanA = Clean(TrueA, 1), cleanB = Clean(trueB, 1), gone = Clean(trueB with { X = trueB.X + moved, Y = trueB.Y - moved / 2 }, 1);
        // The block's left part: column x of A is column x - 13.3 of B.
        var random = new Random(3);
        Frame a = raw.Of(Width, Height, (x, y, _) => cleanA[y * Width + x] + 100 * Normal(random));
        Frame b = raw.Of(Width, Height, (x, y, _) => (x < 90 + 128 * part - 13.3 ? gone : cleanB)[y * Width + x] + 100 * Normal(random));
        BlockMatch.Match match = Assert.NotNull(BlockMatch.Measure(a, new(90, 60, 128, 112), TrueA, b, trueB, 0, new()));
        output.WriteLine($"error {match.Dx:0.0000}, {match.Dy:0.0000} px; claimed {1 / Math.Sqrt(match.Information.Xx):0.0000}");
        Assert.InRange(Math.Sqrt(match.Dx * match.Dx + match.Dy * match.Dy), 0, 0.03);
    }

    private const int Width = 300, Height = 220;

    private static Frame Record(RawFrames raw, Placement place, double gain, double offset)
    {
        ushort[] clean = Clean(place, 1);
        return raw.Of(Width, Height, (x, y, _) => gain * clean[y * Width + x] + offset);
    }

    private static ushort[] Clean(Placement place, double coarseness) =>
    [
        .. Enumerable.Range(0, Width * Height).Select(i =>
        {
            (double cx, double cy) = place.ToCanvas(i % Width - (Width - 1) / 2.0, i / Width - (Height - 1) / 2.0);
            return (ushort)Math.Round(Scene(cx * coarseness, cy * coarseness));
        }),
    ];

    private static Frame Noisy(RawFrames raw, ushort[] clean, double noise, int seed)
    {
        var random = new Random(seed);
        return raw.Of(Width, Height, (x, y, _) => clean[y * Width + x] + noise * Normal(random));
    }

    // Waves of 6 to 60 px in all directions.
    private static double Scene(double x, double y)
    {
        double value = 30000;
        for (int i = 0; i < 9; i++)
        {
            double period = 6 * Math.Pow(10, i / 8.0), angle = 2.4 * i;
            value += 1500 * Math.Cos(2 * Math.PI / period * (x * Math.Cos(angle) + y * Math.Sin(angle)) + i * i);
        }
        return value;
    }

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
