using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Blending;

public sealed class BlockPartsTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(5)]
    public void Parts_fill_the_block_and_what_is_plain_lies_out_of_every_seams_reach(int levels)
    {
        using var raw = new RawFrames();
        var random = new Random(levels);
        int reach = Pyramid.Reach(levels), plain = 0, joined = 0;
        Engine.Intake.Frame frame = raw.Of(800, 600, (_, _, _) => 0);
        for (int trial = 0; trial < 30; trial++)
        {
            List<PlacedFrame> frames = [.. Enumerable.Range(0, 3).Select(k =>
                new PlacedFrame("t", frame, new(400 + 660 * k + 20 * random.NextDouble(), 300 + 40 * random.NextDouble(), 0.1 * random.NextDouble())))];
            var seams = new SeamMap(frames, [.. frames.Select(f => f.Nominal)]);
            var block = new CanvasArea(32 * random.Next(60), 32 * random.Next(12), 1 + random.Next(512), 1 + random.Next(512));
            var parts = new BlockParts(seams, reach, 512);
            parts.Divide(block);

            var owners = new int[block.Size];
            foreach ((CanvasArea area, byte label) in parts.Plain)
            {
                Count(owners, block, area);
                CanvasArea around = area.Grown(reach);
                byte[] labels = new byte[around.Size];
                seams.Fill(around, labels, new float[around.Size]);
                Assert.Equal(-1, labels.AsSpan().IndexOfAnyExcept(label));
                plain++;
            }
            CanvasArea rest = parts.Joined;
            if (rest.Size > 0)
            {
                joined++;
                Assert.Equal((0, 0), ((rest.X - block.X) % BlockParts.Cell, (rest.Y - block.Y) % BlockParts.Cell));
                Assert.Equal((0, 0), (rest.Width % BlockParts.Cell, rest.Height % BlockParts.Cell));
                Count(owners, block, rest);
                CanvasArea around = rest.Grown(reach);
                byte[] labels = new byte[around.Size];
                seams.Fill(around, labels, new float[around.Size]);
                for (int row = 0; row < around.Height; row++)
                    Assert.Equal(labels.AsSpan(row * around.Width, around.Width), parts.Labels(around.X, around.Y + row, around.Width));
            }
            Assert.All(owners, count => Assert.Equal(1, count));
        }
        Assert.True(plain >= 10 && joined >= 10);
    }

    private static void Count(int[] owners, CanvasArea block, CanvasArea area)
    {
        for (int y = area.Y; y < Math.Min(area.Bottom, block.Bottom); y++)
        {
            for (int x = area.X; x < Math.Min(area.Right, block.Right); x++)
                owners[(y - block.Y) * block.Width + x - block.X]++;
        }
    }
}
