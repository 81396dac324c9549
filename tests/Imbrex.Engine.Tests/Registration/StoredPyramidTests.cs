using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

public sealed class StoredPyramidTests : IDisposable
{
    private const int Coarsest = 4;

    private readonly Scratch _scratch = new();
    private readonly RawFrames _raw = new();
    private readonly GrayPyramid _held;

    public StoredPyramidTests()
    {
        var random = new Random(3);
        Frame frame = _raw.Of(203, 141, (_, _, _) => random.Next(65536), quarterTurns: 1);
        _held = GrayPyramid.Of(frame, Coarsest, TestContext.Current.CancellationToken);
    }

    public void Dispose()
    {
        _raw.Dispose();
        _scratch.Dispose();
    }

    [Fact]
    public void Every_part_of_every_level_is_what_was_stored()
    {
        using var stored = new StoredPyramid(_scratch["reduced"], _held);
        var random = new Random(4);
        for (int i = 0; i < 300; i++)
        {
            int level = GrayPyramid.FinestLevel + i % 3;
            IGreyPicture picture = stored[level];
            GrayImage held = _held[level];
            Assert.Equal((held.Width, held.Height), (picture.Width, picture.Height));
            int x = i % 5 == 0 ? 0 : random.Next(held.Width), y = random.Next(held.Height);
            var area = new Block(x, y, i % 5 == 0 ? held.Width : 1 + random.Next(held.Width - x), 1 + random.Next(held.Height - y));
            using GreyPart part = picture.Read(area);
            Assert.Equal(area, part.Area);
            for (int row = y; row < y + area.Height; row++)
                Assert.Equal(held.Row(row).Slice(x, area.Width), part.Row(x, row, area.Width));
            using GreyPart turned = new TurnedOverPicture(picture).Read(area);
            Assert.Equal(held.Pixels[(held.Height - 1 - y) * held.Width + held.Width - 1 - x], turned.Pixels[turned.At(x, y)]);
        }
    }

    [Fact]
    public void Pairs_look_alike_whether_held_or_stored()
    {
        using var stored = new StoredPyramid(_scratch["reduced"], _held);
        foreach ((double x, double y, double turn) in new[] { (0.0, 0.0, 0.0), (-7.3, 4.2, 0.1), (20.5, 11, -0.3), (-500, 0, 0), (0, 35, 1.5) })
        {
            (double sin, double cos) = Math.SinCos(turn);
            Masked a = new(), b = new();
            a.Sample(_held[2], 30, 20, x, y, cos, sin, -sin, cos);
            b.Sample(((IReducedFrame)stored)[2], 30, 20, x, y, cos, sin, -sin, cos);
            Assert.Equal(a.Values, b.Values);
            Assert.Equal(a.Shown, b.Shown);
        }
    }

    [Fact]
    public void The_file_goes_when_it_is_closed()
    {
        using (var stored = new StoredPyramid(_scratch["reduced"], _held))
            Assert.InRange(new FileInfo(_scratch["reduced"]).Length, 1, StoredPyramid.BytesFor(203, 141));
        Assert.False(File.Exists(_scratch["reduced"]));
    }

    [Fact]
    public void A_place_that_cannot_be_written_to_is_named()
    {
        var error = Assert.Throws<InputException>(() => new StoredPyramid(_scratch["no/such/folder"], _held));
        Assert.Contains("no/such/folder", error.Message, StringComparison.Ordinal);
    }
}
