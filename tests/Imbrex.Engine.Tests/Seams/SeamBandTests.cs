using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

/// <summary>The band along seams, against every cell's distance from every mark.</summary>
public sealed class SeamBandTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(3)]
    public void A_band_holds_all_cells_that_are_no_further_from_a_seam_than_its_width(int width)
    {
        using var raw = new RawFrames();
        var grid = CellGrid.Over(37 * 4, 23 * 4, 4);
        var frame = new PlacedFrame("f", raw.Of(200, 140, (_, _, _) => 1), new(grid.Columns * 2, grid.Rows * 2, 0));
        using var shelf = new CellShelf("never-made", 2);
        CellPicture[] pictures = [.. Enumerable.Range(0, 2).Select(_ => new CellPicture(new FrameCells(new FrameOutline(frame, frame.Nominal), grid), shelf))];
        var labels = new byte[grid.Count];
        (int, int)[] ones = [(3, 3), (4, 3), (20, 12), (36, 22), (0, 15)];
        foreach ((int column, int row) in ones)
            labels[row * grid.Columns + column] = 1;
        var bound = new Dictionary<int, byte> { [5 * grid.Columns + 30] = 0 };
        bool[] band = SeamBand.Along(grid, labels, pictures, bound, width);
        int At(int column, int row) => column < 0 || row < 0 || column >= grid.Columns || row >= grid.Rows ? -1 : labels[row * grid.Columns + column];
        bool IsMark(int column, int row) => At(column, row) >= 0 && (bound.ContainsKey(row * grid.Columns + column)
            || new[] { At(column - 1, row), At(column + 1, row), At(column, row - 1), At(column, row + 1) }.Any(label => label >= 0 && label != At(column, row)));
        for (int i = 0; i < grid.Count; i++)
        {
            bool near = Enumerable.Range(0, (2 * width + 1) * (2 * width + 1)).Any(k => IsMark(i % grid.Columns + k % (2 * width + 1) - width, i / grid.Columns + k / (2 * width + 1) - width));
            Assert.Equal(near, band[i]);
        }
    }
}
