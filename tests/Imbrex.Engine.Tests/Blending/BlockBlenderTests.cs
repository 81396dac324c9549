using Imbrex.Engine.Blending;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Reporting;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk.Exports;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

/// <summary>Blended blocks against the picture they were cut from, against one block over everything, and against the textbook's slow way.</summary>
public sealed class BlockBlenderTests
{
    private static readonly FrameLight Light = FrameLight.FromProfile([]);

    // Four frames that differ in exposure and in what they show, rotated a little and between pixels.
    private static readonly (double X, double Y, double Angle)[] Askew =
        [(118.3, 92.7, 0.004), (262.6, 93.2, -0.003), (118.9, 221.4, 0.0015), (259.2, 224.8, -0.008)];

    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    [InlineData(5)]
    public void A_picture_cut_into_tiles_at_whole_pixels_comes_back_exactly(int levels)
    {
        using var raw = new RawFrames();
        using var scratch = new Scratch();
        const int Width = 700, Height = 530;
        ushort Pixel(int x, int y, int band) => (ushort)((x * 7919 + y * 104729 + band * 31337) * 2654435761 >> 13);
        List<PlacedFrame> frames = [];
        foreach ((int left, int top) in new[] { (0, 0), (301, 0), (0, 229), (301, 229) })
            frames.Add(new("t", raw.Of(399, 301, (x, y, band) => Pixel(x + left, y + top, band)), new(left + 199, top + 150, 0)));
        Merge(scratch["m.tif"], frames, levels, Width, Height, 3, workers: 2);
        using Image image = Image.NewFromFile(scratch["m.tif"], failOn: Enums.FailOn.Error);
        ushort[] got = image.WriteToMemory<ushort>();
        for (int i = 0; i < got.Length; i++)
        {
            if (got[i] != Pixel(i / 3 % Width, i / 3 / Width, i % 3))
                Assert.Fail($"pixel {i / 3 % Width}, {i / 3 / Width}: {got[i]}");
        }
    }

    [Fact]
    public void Two_equal_pictures_blend_to_themselves()
    {
        using var raw = new RawFrames();
        double Value(int x, int y, int band) => 30000 + 20000 * Math.Sin(x * 0.3 + band) * Math.Cos(y * 0.2);
        PlacedFrame a = new("a", raw.Of(200, 160, Value), new(100.25, 80.5, 0.01)), b = new("b", raw.Of(200, 160, Value), new(100.25, 80.5, 0.01));
        var area = new CanvasArea(32, 32, 128, 96);
        ushort[] one = Blend([a], 3, area, 128, 3), two = Blend([a, b], 3, area, 128, 3);
        // Values are alike but for their last bit, which may decide to which code they are dithered.
        for (int i = 0; i < one.Length; i++)
            Assert.InRange(two[i], one[i] - 1, one[i] + 1);
    }

    [Theory]
    [InlineData(1, 32)]
    [InlineData(3, 64)]
    [InlineData(5, 96)]
    public void Blocks_with_aprons_give_what_one_block_over_everything_gives(int levels, int core)
    {
        using var raw = new RawFrames();
        List<PlacedFrame> frames = Frames(raw);
        const int Width = 376, Height = 310;
        ushort[] whole = Blend(frames, levels, new(0, 0, Width, Height), 384, 3);
        int worst = 0;
        for (int y = 0; y < Height; y += core)
        {
            for (int x = 0; x < Width; x += core)
            {
                var area = new CanvasArea(x, y, Math.Min(core, Width - x), Math.Min(core, Height - y));
                ushort[] block = Blend(frames, levels, area, core, 3);
                for (int i = 0; i < block.Length; i++)
                {
                    int column = x + i / 3 % area.Width, row = y + i / 3 / area.Width;
                    worst = Math.Max(worst, Math.Abs(block[i] - whole[(row * Width + column) * 3 + i % 3]));
                }
            }
        }
        // The same sums in another order: one code of rounding.
        Assert.InRange(worst, 0, 1);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    [InlineData(5)]
    public void The_blend_is_the_textbooks(int levels)
    {
        using var raw = new RawFrames();
        List<PlacedFrame> frames = Frames(raw);
        var core = new CanvasArea(96, 64, 192, 192);
        CanvasArea area = core.Grown(Pyramid.Reach(levels));
        ushort[] got = Blend(frames, levels, core, 192, 3);

        Placement[] placements = [.. frames.Select(f => f.Nominal)];
        var seams = new SeamMap(frames, placements);
        byte[] labels = new byte[area.Size];
        seams.Fill(area, labels, new float[area.Size]);
        float[][] sampled = [.. frames.Select(f => { var planes = new float[area.Size * 3]; Sampler(f).Sample(area, planes); return planes; })];
        for (int band = 0; band < 3; band++)
        {
            double Hard(int i) => labels[i] == SeamMap.None ? 0 : sampled[labels[i]][band * area.Size + i];
            List<double[]> pictures = [], masks = [];
            for (int k = 0; k < frames.Count; k++)
            {
                int frame = k;
                var depth = new float[area.Size];
                seams.MarkOutside(k, area, depth);
                pictures.Add([.. Enumerable.Range(0, area.Size).Select(i => depth[i] >= 0 ? sampled[frame][band * area.Size + i] : Hard(i))]);
                masks.Add([.. labels.Select(label => label == frame ? 1.0 : 0)]);
            }
            // Where nobody shows anything the hard cut stands in, so that masks sum to 1 everywhere.
            pictures.Add([.. Enumerable.Range(0, area.Size).Select(Hard)]);
            masks.Add([.. labels.Select(label => label == SeamMap.None ? 1.0 : 0)]);
            double[] slow = SlowPyramid.Blend(pictures, masks, area.Width, area.Height, levels);
            for (int row = 0; row < core.Height; row++)
            {
                for (int column = 0; column < core.Width; column++)
                {
                    int at = (core.Y - area.Y + row) * area.Width + core.X - area.X + column;
                    // Dithered: either of the codes beside the value.
                    Assert.Equal(Math.Clamp(slow[at], 0, 65535), got[(row * core.Width + column) * 3 + band], 1.05);
                }
            }
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(5)]
    public void What_lies_beyond_the_apron_never_shows_and_what_lies_well_inside_does(int levels)
    {
        using var raw = new RawFrames();
        double Value(int x, int y, int band) => 20000 + 100 * ((x * 37 + y * 91 + band) % 97);
        int reach = Pyramid.Reach(levels);
        List<PlacedFrame> With(int x) =>
        [
            // Two frames over each other, one of them with a bright stripe.
            new("a", raw.Of(900, 128, (c, r, b) => c == x ? 65535 : Value(c, r, b)), new(449.5, 63.5, 0)),
            new("b", raw.Of(900, 128, (c, r, b) => Value(c, r, b) + 5000), new(509.5, 63.5, 0)),
        ];
        // The seam lies at column 479; the block begins at it.
        var core = new CanvasArea(480, 32, 64, 64);
        ushort[] Whole(int x)
        {
            ushort[] all = Blend(With(x), levels, new(0, 0, 1024, 128), 1024, 3);
            return [.. Enumerable.Range(0, core.Size * 3).Select(i => all[((core.Y + i / 3 / core.Width) * 1024 + core.X + i / 3 % core.Width) * 3 + i % 3])];
        }
        ushort[] plain = Whole(-1);
        Assert.Equal(plain, Whole(core.X - reach - 1));
        Assert.NotEqual(plain, Whole(core.X - (1 << levels)));
    }

    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    public void A_wide_block_gives_what_its_squares_give(int bands)
    {
        using var raw = new RawFrames();
        List<PlacedFrame> frames = Frames(raw);
        var area = new CanvasArea(0, 64, 376, 128);
        ushort[] whole = Blend(frames, 2, area, 128, bands);
        for (int x = 0; x < area.Width; x += 128)
        {
            int width = Math.Min(128, area.Width - x);
            ushort[] square = Blend(frames, 2, new(x, 64, width, 128), 128, bands);
            for (int row = 0; row < 128; row++)
            {
                ReadOnlySpan<ushort> got = whole.AsSpan((row * area.Width + x) * bands, width * bands), want = square.AsSpan(row * width * bands, width * bands);
                // Where squares of one frame follow one another they are sampled in one piece, whose positions are rounded otherwise.
                for (int i = 0; i < want.Length; i++)
                    Assert.InRange(got[i], want[i] - 1, want[i] + 1);
            }
        }
    }

    [Fact]
    public void A_hole_is_clear_and_the_rest_opaque()
    {
        using var raw = new RawFrames();
        PlacedFrame left = new("l", raw.Of(100, 90, (_, _, _) => 50000), new(49.5, 49.5, 0)), right = new("r", raw.Of(100, 90, (_, _, _) => 40000), new(179.5, 49.5, 0));
        const int Width = 240, Height = 100;
        ushort[] got = Blend([left, right], 3, new(0, 0, Width, Height), 240, 4);
        for (int i = 0; i < Width * Height; i++)
        {
            int x = i % Width, y = i / Width;
            bool hole = x is > 99 and < 130 or > 229 || y is < 5 or > 94;
            ushort[] want = hole ? [0, 0, 0, 0] : x < 100 ? [50000, 50000, 50000, 65535] : [40000, 40000, 40000, 65535];
            Assert.Equal(want, got.AsSpan(i * 4, 4));
        }
    }

    [Theory]
    [InlineData(600)]
    [InlineData(-100)]
    public void A_block_that_is_all_hole_beside_a_frame_is_clear(int frameLeft)
    {
        // The apron shows the frame, the block does not.
        using var raw = new RawFrames();
        PlacedFrame frame = new("f", raw.Of(50, 512, (_, _, _) => 50000), new(frameLeft + 24.5, 255.5, 0));
        Assert.All(Blend([frame], 5, new(0, 0, 512, 512), 512, 4), sample => Assert.Equal(0, sample));
    }

    [Fact]
    public void Different_exposures_meet_without_a_step()
    {
        using var raw = new RawFrames();
        PlacedFrame dark = new("d", raw.Of(400, 64, (_, _, _) => 20000), new(199.5, 31.5, 0)), light = new("l", raw.Of(400, 64, (_, _, _) => 24000), new(399.5, 31.5, 0));
        ushort[] got = Blend([dark, light], 5, new(0, 0, 576, 64), 576, 3);
        int steepest = 0;
        for (int x = 1; x < 576; x++)
        {
            int step = got[(32 * 576 + x) * 3] - got[(32 * 576 + x - 1) * 3];
            Assert.InRange(step, -1, 4000);
            steepest = Math.Max(steepest, step);
        }
        Assert.Equal(20000, got[32 * 576 * 3]);
        Assert.Equal(24000, got[(32 * 576 + 575) * 3]);
        Assert.InRange(steepest, 1, 100);
    }

    private static List<PlacedFrame> Frames(RawFrames raw) =>
    [
        .. Askew.Select((at, k) =>
        {
            var random = new Random(k);
            return new PlacedFrame($"f{k}", raw.Of(240, 190, (_, _, band) => 9000 * (band + 1) + 4000 * k + random.Next(20000)), new(at.X, at.Y, at.Angle));
        }),
    ];

    private static FrameSampler Sampler(PlacedFrame frame) => new(frame.Frame, frame.Nominal, new Evening(Light, [1, 1, 1]));

    private static ushort[] Blend(List<PlacedFrame> frames, int levels, CanvasArea area, int coreSide, int bands)
    {
        var blender = new BlockBlender(new SeamMap(frames, [.. frames.Select(f => f.Nominal)]), [.. frames.Select(Sampler)], levels, coreSide, bands);
        var samples = new ushort[area.Size * bands];
        Array.Fill(samples, (ushort)0xABCD);
        // Used before, so that what another block left behind would show.
        blender.Blend(new(0, 0, Math.Min(coreSide, 1 << levels), Math.Min(coreSide, 1 << levels)), new ushort[coreSide * coreSide * bands]);
        blender.Blend(area, samples);
        return samples;
    }

    private static void Merge(string path, List<PlacedFrame> frames, int levels, int width, int height, int bands, int workers)
    {
        using var master = new TiffWriter(path, new TiffPicture { Width = width, Height = height, Bands = bands });
        CanvasBlender.Blend(new SeamMap(frames, [.. frames.Select(f => f.Nominal)]), [.. frames.Select(Sampler)], levels, width, height, bands, master, new Preview(width, height, []), workers,
            new Quiet(), TestContext.Current.CancellationToken);
        master.Complete();
    }

    private sealed class Quiet : IProgress<double>
    {
        public void Report(double value)
        {
        }
    }
}
