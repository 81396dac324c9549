using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Gains neither clip light nor turn clipped sources grey, and neighbours stay alike.</summary>
public sealed class HighlightTests
{
    private static readonly FrameLight Light = FrameLight.FromProfile([]);

    [Theory]
    [InlineData(1.02)]
    [InlineData(1.26)]
    [InlineData(2)]
    [InlineData(8)]
    public void A_shoulder_is_smooth_rising_and_ends_at_white(double top)
    {
        var shoulder = new Shoulder(top);
        Assert.Equal(1, shoulder.Apply(top), 1e-12);
        Assert.Equal(shoulder.Knee, shoulder.Apply(shoulder.Knee));
        Assert.Equal(0.3, shoulder.Apply(0.3));
        Assert.InRange(shoulder.Knee, 0.6, 1);
        double step = (top - shoulder.Knee) / 10_000, before = shoulder.Apply(shoulder.Knee), slope = 1;
        for (int i = 1; i <= 10_000; i++)
        {
            double now = shoulder.Apply(shoulder.Knee + i * step), rise = (now - before) / step;
            Assert.InRange(rise, 1e-3, slope + 1e-9);
            Assert.True(slope - rise < 0.02, $"step of slope {slope - rise} at {i}");
            (before, slope) = (now, rise);
        }
    }

    [Fact]
    public void Up_to_white_nothing_is_changed()
    {
        Assert.True(new Shoulder(1).IsNone && new Shoulder(0.7).IsNone);
        var plain = new Evening(Light, [1, 1, 1]);
        ushort[] codes = [.. Enumerable.Range(0, 3 * 65536).Select(i => (ushort)(i / 3))];
        var got = new float[65536];
        plain.Row(codes, 0, 0, 0, got);
        Assert.Equal(Enumerable.Range(0, 65536).Select(code => (float)code), got);
        Assert.True(plain.IsNone);
    }

    /// <summary>A frame whose own light stays within white still goes under the shoulder of the others.</summary>
    [Fact]
    public void A_frame_at_gain_1_shares_the_shoulder()
    {
        var shoulder = new Shoulder(1.3);
        var evening = new Evening(Light, LightCorrection.None, new HighlightTone(shoulder, [.. Light.Curves.Select(curve => new LightEncoder(curve, shoulder))], [false, false, false]));
        Assert.False(evening.IsNone);
        ushort knee = Code(shoulder.Knee);
        var got = new float[2];
        evening.Row([(ushort)(knee - 100), 0, 0, 65535, 0, 0], 0, 0, 0, got);
        Assert.Equal(knee - 100, got[0]);
        Assert.Equal(65535 * SrgbCurve.Encode(shoulder.Apply(1)), got[1], 0.2);
    }

    /// <summary>The encoder's one table against shoulder and curve, one after the other.</summary>
    [Fact]
    public void The_encoder_does_what_shoulder_and_curve_do()
    {
        var shoulder = new Shoulder(1.4);
        var encoder = new LightEncoder(Light.Curves[0], shoulder);
        for (double light = 0; light < 1.45; light += 0.00037)
            Assert.Equal(65535 * SrgbCurve.Encode(Math.Min(shoulder.Apply(light), 1)), encoder.Code((float)light), 0.1);
    }

    [Fact]
    public void Peaks_are_those_of_a_slow_look()
    {
        using var raw = new RawFrames();
        var random = new Random(5);
        ushort[] values = [.. Enumerable.Range(0, 641 * 530 * 3).Select(_ => (ushort)random.Next(60000))];
        Frame frame = raw.Of(641, 530, (x, y, band) => values[(y * 641 + x) * 3 + band]);
        int cells = 0;
        PeakScan.Run(frame, (left, top, width, height, largest) =>
        {
            cells++;
            for (int band = 0; band < 3; band++)
            {
                ushort want = 0;
                for (int y = top; y < top + height; y++)
                {
                    for (int x = left; x < left + width; x++)
                        want = Math.Max(want, values[(y * 641 + x) * 3 + band]);
                }
                Assert.Equal(want, largest[band]);
            }
        });
        Assert.Equal(11 * 9, cells);
    }

    /// <summary>A ramp of light seen by a darker and by a brighter frame, neither clipped: every level stays its own, and alike in both.</summary>
    [Fact]
    public void Light_raised_above_white_keeps_its_detail_and_stays_alike_in_all_frames()
    {
        using var raw = new RawFrames();
        // Light 0.02 to 1.2 on the scene; the first frame recorded 0.8 of it, the second 0.5, so that gains of 1.25 and 2 show it as it is.
        double Scene(int x) => 0.02 + 1.18 * x / 255;
        (Evening dark, Evening bright, Highlights highlights) = Two(raw, Scene, 0.8, 0.5);
        Assert.Equal(1.2, highlights.Shoulder.Top, 1e-3);
        Assert.Empty(highlights.Lifted);
        (float[] a, float[] b) = (Row(dark, Scene, 0.8), Row(bright, Scene, 0.5));
        for (int x = 0; x < 256; x++)
        {
            Assert.Equal(a[x], b[x], 3.0);
            Assert.True(x == 0 || a[x] > a[x - 1] + 20, $"level {x}");
            if (Scene(x) < highlights.Shoulder.Knee)
                Assert.Equal(65535 * SrgbCurve.Encode(Scene(x)), a[x], 3.0);
        }
        Assert.Equal(65535, a[255], 30.0);
    }

    [Fact]
    public void A_clipped_source_is_white_in_every_frame_and_what_is_not_clipped_stays()
    {
        using var raw = new RawFrames();
        // The first frame, exposed 1.6 times as much as the scene, clips above 0.625; the second does not clip.
        double Scene(int x) => 0.02 + 0.95 * x / 255;
        (Evening over, Evening under, Highlights highlights) = Two(raw, Scene, 1.6, 0.7);
        Assert.Equal([0], highlights.Lifted);
        Assert.True(highlights.Shoulder.IsNone);
        (float[] a, float[] b) = (Row(over, Scene, 1.6), Row(under, Scene, 0.7));
        for (int x = 0; x < 256; x++)
        {
            double recorded = Scene(x) * 1.6;
            Assert.Equal(65535 * SrgbCurve.Encode(Scene(x)), b[x], 3.0);
            if (recorded < 0.93)
                Assert.Equal(b[x], a[x], 4.0);
            Assert.True(x == 0 || a[x] >= a[x - 1]);
            if (recorded >= 1)
                Assert.Equal(65535, a[x], 1.0);
        }
    }

    private static (Evening A, Evening B, Highlights Highlights) Two(RawFrames raw, Func<int, double> scene, double exposureA, double exposureB)
    {
        Frame[] frames = [.. new[] { exposureA, exposureB }.Select(exposure => raw.Of(256, 80, (x, _, _) => Code(scene(x) * exposure)))];
        LightCorrection[] corrections = [new([1 / exposureA, 1 / exposureA, 1 / exposureA]), new([1 / exposureB, 1 / exposureB, 1 / exposureB])];
        var highlights = Highlights.Find(frames, corrections, Light, 2, TestContext.Current.CancellationToken);
        IReadOnlyList<HighlightTone> tones = highlights.Tones(Light);
        return (new(Light, corrections[0], tones[0]), new(Light, corrections[1], tones[1]), highlights);
    }

    private static ushort Code(double light) => (ushort)Math.Round(65535 * SrgbCurve.Encode(Math.Min(light, 1)));

    private static float[] Row(Evening evening, Func<int, double> scene, double exposure)
    {
        ushort[] codes = [.. Enumerable.Range(0, 3 * 256).Select(i => Code(scene(i / 3) * exposure))];
        var row = new float[256];
        evening.Row(codes, 1, 0, 0, row);
        return row;
    }
}
