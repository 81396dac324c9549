using Imbrex.Engine.Blending;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

/// <summary>A frame halved while it is sampled, against the whole area sampled first and halved then.</summary>
public sealed class HalvedFrameTests
{
    [Fact]
    public void Halving_row_by_row_gives_what_halving_the_whole_gives()
    {
        using var raw = new RawFrames();
        var random = new Random(4);
        var sampler = new FrameSampler(raw.Of(150, 120, (_, _, _) => random.Next(65536)), new(80.3, 61.2, 0.01), new Evening(FrameLight.FromProfile([]), [1, 1.1, 0.9]));
        var halved = new HalvedFrame(128);
        foreach (CanvasArea area in new CanvasArea[] { new(10, 4, 128, 128), new(0, 0, 2, 2), new(-20, 30, 64, 4), new(96, 32, 32, 96), new(7, 7, 40, 6) })
        {
            var whole = new float[area.Size * 3];
            sampler.Sample(area, whole);
            // Something else stands in for the first pixel of every row.
            for (int i = 0; i < whole.Length; i += area.Width)
                whole[i] = 1000;
            halved.Begin(sampler, area, halves: true);
            for (int row = 0; row < area.Height; row++)
            {
                halved.Sample(row);
                for (int band = 0; band < 3; band++)
                    halved.Row(row)[band * area.Width] = 1000;
                halved.Halve(row);
            }
            float[] got = halved.Half.ToArray(), want = new float[area.Size / 4 * 3];
            for (int band = 0; band < 3; band++)
                Pyramid.Reduce(whole.AsSpan(band * area.Size, area.Size), area.Width, area.Height, want.AsSpan(band * area.Size / 4), new float[area.Width]);
            Assert.Equal(want, got);
            halved.HalveWhole(whole, area);
            Assert.Equal(want, halved.Half.ToArray());
        }
    }
}
