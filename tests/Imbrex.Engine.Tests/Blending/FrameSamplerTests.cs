using Imbrex.Engine.Blending;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

/// <summary>Sampled frames against the wave that they show, at the place where the placement says that each canvas pixel lies.</summary>
public sealed class FrameSamplerTests(ITestOutputHelper output)
{
    private const int FrameWidth = 420, FrameHeight = 330;

    private static readonly FrameLight Light = FrameLight.FromProfile([]);

    public static TheoryData<string, Placement> Placements => new()
    {
        { "shifted", new(300.3, 250.7, 0) },
        { "turned a little", new(300.3, 250.7, 0.006) },
        { "turned back", new(300.3, 250.7, -0.06) },
        { "turned far", new(300.3, 250.7, 0.9) },
        { "larger", new(300.3, 250.7, 0.002, Warp.OfScale(1.003)) },
        { "tilted", new(300.3, 250.7, 0.003, new(1e-3, -4e-4, 7e-4, -8e-4, 2e-5, -3e-5)) },
        { "tilted and turned far", new(300.3, 250.7, -2.4, new(1e-3, -4e-4, 7e-4, -8e-4, 2e-5, -3e-5)) },
    };

    [Theory]
    [MemberData(nameof(Placements))]
    public void A_frame_shows_where_its_placement_says(string name, Placement placement)
    {
        using var raw = new RawFrames();
        double Wave(double x, double y, int band) => 30000 + 9000 * Math.Sin(0.31 * x + band) + 9000 * Math.Cos(0.27 * y - 0.11 * x);
        double overall = 0;
        for (int quarterTurns = 0; quarterTurns < 4; quarterTurns++)
        {
            int turns = quarterTurns;
            (int storedWidth, int storedHeight) = (turns & 1) == 0 ? (FrameWidth, FrameHeight) : (FrameHeight, FrameWidth);
            var frame = new PlacedFrame(name, raw.Of(storedWidth, storedHeight, (column, row, band) =>
            {
                (int x, int y) = turns switch { 0 => (column, row), 1 => (FrameWidth - 1 - row, column), 2 => (FrameWidth - 1 - column, FrameHeight - 1 - row), _ => (row, FrameHeight - 1 - column) };
                return Wave(x, y, band);
            }, turns), placement);
            var sampler = new FrameSampler(frame.Frame, placement, new Evening(Light, [1, 1, 1]));
            // In the middle and over two edges.
            foreach (CanvasArea area in new[] { new CanvasArea(160, 128, 237, 201), new(64, 64, 96, 280), new(400, 320, 130, 120) })
            {
                var planes = new float[area.Size * 3];
                sampler.Sample(area, planes);
                double worst = 0;
                int compared = 0;
                for (int i = 0; i < planes.Length; i++)
                {
                    (double x, double y) = placement.ToFrame(area.X + i % area.Size % area.Width, area.Y + i % area.Size / area.Width);
                    (x, y) = (x + frame.Frame.CentreX, y + frame.Frame.CentreY);
                    if (x < 4 || y < 4 || x > FrameWidth - 5 || y > FrameHeight - 5)
                        continue;
                    worst = Math.Max(worst, Math.Abs(planes[i] - Wave(x, y, i / area.Size)));
                    compared++;
                }
                overall = Math.Max(overall, worst);
                Assert.InRange(compared, 100, int.MaxValue);
                // The kernel passes these frequencies within 0.7 % each way; a place wrong by a hundredth of a pixel would add 60 codes.
                Assert.InRange(worst, 0, 150);
            }
        }
        output.WriteLine($"{name}: worst {overall:0.0} of 18000 codes");
    }

    [Fact]
    public void Beyond_the_edge_the_outermost_pixels_are_repeated()
    {
        using var raw = new RawFrames();
        double Value(int x, int y, int band) => 1000 + 13 * x + 17 * y + band;
        var sampler = new FrameSampler(raw.Of(40, 30, Value), new(59.5, 54.5, 0), new Evening(Light, [1, 1, 1]));
        var area = new CanvasArea(20, 20, 80, 70);
        var planes = new float[area.Size * 3];
        sampler.Sample(area, planes);
        for (int i = 0; i < planes.Length; i++)
        {
            int x = Math.Clamp(i % area.Size % area.Width - 20, 0, 39), y = Math.Clamp(i % area.Size / area.Width - 20, 0, 29);
            Assert.Equal(Value(x, y, i / area.Size), planes[i]);
        }
    }

    [Fact]
    public void What_lies_on_whole_pixels_with_its_own_light_is_a_copy_and_nothing_else_is()
    {
        using var raw = new RawFrames();
        var area = new CanvasArea(50, 60, 30, 20);
        FrameSampler Of(Placement placement, double gain) => new(raw.Of(100, 90, (x, y, band) => 7 * x + 11 * y + band), placement, new Evening(Light, [1, 1, gain]));
        FrameSampler copy = Of(new(70.5, 74.5, 0), 1);
        Assert.True(copy.IsCopy(area));
        Assert.False(copy.IsCopy(new(10, 60, 30, 20)));
        Assert.False(Of(new(70.5, 74.5, 0), 1.01).IsCopy(area));
        Assert.False(Of(new(70.25, 74.5, 0), 1).IsCopy(area));
        Assert.False(Of(new(70.5, 74.5, 1e-9), 1).IsCopy(area));
        Assert.False(Of(new(70.5, 74.5, 0, Warp.OfScale(1 + 1e-9)), 1).IsCopy(area));
        var samples = new ushort[area.Size * 3];
        copy.Copy(area, samples);
        for (int i = 0; i < samples.Length; i++)
            Assert.Equal(7 * (50 - 21 + i / 3 % 30) + 11 * (60 - 30 + i / 90) + i % 3, samples[i]);
    }
}
