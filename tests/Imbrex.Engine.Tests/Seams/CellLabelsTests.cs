using Imbrex.Engine.Blending;
using Imbrex.Engine.Seams;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class CellLabelsTests
{
    [Theory]
    [InlineData(4)]
    [InlineData(8)]
    [InlineData(5)]
    public void A_pixel_shows_what_the_four_nearest_cells_mostly_show(int side)
    {
        var random = new Random(41);
        var grid = CellGrid.Over(19 * side, 14 * side, side);
        for (int trial = 0; trial < 20; trial++)
        {
            CellLabels labels = Blobs(grid, random);
            for (int y = -2 * side; y < 16 * side; y++)
            {
                var row = new byte[23 * side];
                labels.Fill(-2 * side, y, row);
                for (int x = -2 * side; x < 21 * side; x++)
                {
                    double[] votes = Votes(labels, x, y);
                    Assert.True(votes[row[x + 2 * side]] > votes.Max() - 1e-9, $"{x}, {y}");
                }
            }
        }
    }

    [Fact]
    public void Parts_of_rows_are_the_same_however_they_are_cut()
    {
        var random = new Random(42);
        CellLabels labels = Blobs(CellGrid.Over(100, 80, 8), random);
        for (int trial = 0; trial < 200; trial++)
        {
            (int y, int from, int length) = (random.Next(-10, 90), random.Next(-10, 90), 1 + random.Next(20));
            var whole = new byte[140];
            var part = new byte[length];
            labels.Fill(-20, y, whole);
            labels.Fill(from, y, part);
            Assert.Equal(whole[(from + 20)..(from + 20 + length)], part);
        }
    }

    [Fact]
    public void An_area_is_whole_only_where_every_pixel_is_alike()
    {
        var random = new Random(43);
        int yes = 0;
        for (int trial = 0; trial < 400; trial++)
        {
            CellLabels labels = Blobs(CellGrid.Over(300, 240, 4), random);
            var area = new CanvasArea(random.Next(-30, 280), random.Next(-30, 220), 1 + random.Next(60), 1 + random.Next(60));
            var pixels = new byte[area.Size];
            for (int row = 0; row < area.Height; row++)
                labels.Fill(area.X, area.Y + row, pixels.AsSpan(row * area.Width, area.Width));
            byte? whole = labels.Whole(area);
            if (whole is { } label)
            {
                Assert.All(pixels, pixel => Assert.Equal(label, pixel));
                yes++;
            }
            // It may miss one cell's breadth at the rim, no more.
            CanvasArea wider = area.Grown(4);
            var around = new byte[wider.Size];
            for (int row = 0; row < wider.Height; row++)
                labels.Fill(wider.X, wider.Y + row, around.AsSpan(row * wider.Width, wider.Width));
            if (around.Distinct().Count() == 1)
                Assert.NotNull(whole);
        }
        Assert.InRange(yes, 50, 390);
    }

    private static CellLabels Blobs(CellGrid grid, Random random)
    {
        (int X, int Y)[] middles = [.. Enumerable.Range(0, 4).Select(_ => (random.Next(grid.Columns), random.Next(grid.Rows)))];
        var labels = new byte[grid.Count];
        for (int i = 0; i < labels.Length; i++)
            labels[i] = (byte)Array.IndexOf(middles, middles.MinBy(m => Math.Abs(m.X - i % grid.Columns) + Math.Abs(m.Y - i / grid.Columns)));
        // Single cells of another frame make the corners interesting.
        for (int i = 0; i < grid.Count / 60; i++)
            labels[random.Next(labels.Length)] = (byte)random.Next(4);
        return new(grid, labels);
    }

    private static double[] Votes(CellLabels labels, int x, int y)
    {
        int side = labels.Grid.Side;
        double u = (x - (side - 1) / 2.0) / side, v = (y - (side - 1) / 2.0) / side;
        var votes = new double[4];
        for (int k = 0; k < 4; k++)
        {
            (int column, int row) = ((int)Math.Floor(u) + k % 2, (int)Math.Floor(v) + k / 2);
            byte label = labels[Math.Clamp(column, 0, labels.Grid.Columns - 1), Math.Clamp(row, 0, labels.Grid.Rows - 1)];
            votes[label] += (1 - Math.Abs(u - column)) * (1 - Math.Abs(v - row));
        }
        return votes;
    }
}
