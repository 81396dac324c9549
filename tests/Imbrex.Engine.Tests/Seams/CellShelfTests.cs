using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class CellShelfTests : IDisposable
{
    private readonly Scratch _scratch = new();
    private readonly RawFrames _raw = new();

    public void Dispose()
    {
        _raw.Dispose();
        _scratch.Dispose();
    }

    [Fact]
    public async Task Cells_come_back_as_they_went_whoever_asks()
    {
        using (var shelf = new CellShelf(_scratch["cells"], mostHeld: 2))
        {
            CellPicture[] pictures = [.. Enumerable.Range(0, 7).Select(i => Filled(shelf, i))];
            Assert.Equal(2, pictures.Count(picture => picture.Held is not null));
            await Task.WhenAll(Enumerable.Range(0, 4).Select(thread => Task.Run(() =>
            {
                var random = new Random(thread);
                for (int i = 0; i < 500; i++)
                {
                    int number = random.Next(pictures.Length), band = random.Next(3);
                    Assert.Equal(Values(number, band, pictures[number].Codes[band].Length), pictures[number].Codes[band]);
                }
            }, TestContext.Current.CancellationToken)));
            Assert.Equal(2, pictures.Count(picture => picture.Held is not null));
        }
        Assert.False(File.Exists(_scratch["cells"]));
    }

    [Fact]
    public void Nothing_is_written_while_all_have_room()
    {
        using var shelf = new CellShelf(_scratch["no/such/folder"], mostHeld: 3);
        CellPicture[] pictures = [.. Enumerable.Range(0, 3).Select(i => Filled(shelf, i))];
        Assert.All(pictures, picture => Assert.NotNull(picture.Held));
        var error = Assert.Throws<InputException>(() => Filled(shelf, 3));
        Assert.Contains("no/such/folder", error.Message, StringComparison.Ordinal);
    }

    private CellPicture Filled(CellShelf shelf, int number)
    {
        Frame frame = _raw.Of(64 + 4 * number, 48, (_, _, _) => 0);
        var placed = new PlacedFrame($"{number}", frame, new(40, 40, 0.02 * number));
        var picture = new CellPicture(new FrameCells(new FrameOutline(placed, placed.Nominal), CellGrid.Over(100, 100, 4)), shelf);
        picture.Prepare();
        for (int band = 0; band < 3; band++)
            Values(number, band, picture.Codes[band].Length).CopyTo(picture.Codes[band], 0);
        shelf.Put(picture);
        return picture;
    }

    private static ushort[] Values(int number, int band, int count) => [.. Enumerable.Range(0, count).Select(i => (ushort)(1 + 8191 * number + 1009 * band + 7 * i))];
}
