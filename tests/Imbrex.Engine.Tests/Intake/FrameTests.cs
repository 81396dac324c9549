using Imbrex.Engine.Intake;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Intake;

/// <summary>Blocks of turned frames against libvips' own turning.</summary>
public sealed class FrameTests
{
    private const int StoredWidth = 37, StoredHeight = 23;

    private static readonly ushort[] Stored = [.. Enumerable.Range(0, StoredWidth * StoredHeight * 3).Select(i => (ushort)(i * 40503))];

    [Theory]
    [InlineData(0, Enums.Angle.D0)]
    [InlineData(1, Enums.Angle.D90)]
    [InlineData(2, Enums.Angle.D180)]
    [InlineData(3, Enums.Angle.D270)]
    public void Every_block_of_a_turned_frame_is_what_libvips_turns_clockwise(int quarterTurns, Enums.Angle angle)
    {
        using var frames = new RawFrames();
        Frame frame = frames.Of(StoredWidth, StoredHeight, Stored, quarterTurns);
        using Image image = Image.NewFromMemory(Stored, StoredWidth, StoredHeight, 3, Enums.BandFormat.Ushort);
        using Image turned = image.Rot(angle);
        ushort[] upright = turned.WriteToMemory<ushort>();
        Assert.Equal((turned.Width, turned.Height), (frame.Width, frame.Height));

        var random = new Random(quarterTurns);
        for (int trial = 0; trial < 200; trial++)
        {
            int x = random.Next(frame.Width), y = random.Next(frame.Height);
            // Whole rows now and then: they are read in one piece.
            (int width, int height) = trial % 5 == 0 ? (frame.Width, 1 + random.Next(frame.Height - y)) : (1 + random.Next(frame.Width - x), 1 + random.Next(frame.Height - y));
            x = trial % 5 == 0 ? 0 : x;
            var block = new ushort[width * height * 3];
            frame.ReadBlock(x, y, width, height, block);
            for (int row = 0; row < height; row++)
                Assert.Equal(upright.AsSpan(((y + row) * frame.Width + x) * 3, width * 3), block.AsSpan(row * width * 3, width * 3));
        }
    }

    [Fact]
    public void Turning_over_twice_changes_nothing_and_once_turns_by_half()
    {
        using var frames = new RawFrames();
        Frame frame = frames.Of(StoredWidth, StoredHeight, Stored, 3);
        frame.TurnOver();
        Assert.Equal(1, frame.QuarterTurns);
        frame.TurnOver();
        Assert.Equal(3, frame.QuarterTurns);
    }

    [Theory]
    [InlineData(-1, 0, 2, 2)]
    [InlineData(0, 22, 2, 2)]
    [InlineData(36, 0, 2, 2)]
    [InlineData(0, 0, 0, 2)]
    public void A_block_that_leaves_the_frame_is_refused(int x, int y, int width, int height)
    {
        using var frames = new RawFrames();
        Frame frame = frames.Of(StoredWidth, StoredHeight, Stored);
        Assert.Throws<ArgumentOutOfRangeException>(() => frame.ReadBlock(x, y, width, height, new ushort[12]));
    }
}
