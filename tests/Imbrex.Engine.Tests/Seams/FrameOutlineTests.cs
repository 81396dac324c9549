using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

/// <summary>Frames that are shifted, turned, scaled and seen askew: what the outline says against every pixel looked at on its own.</summary>
public sealed class FrameOutlineTests
{
    [Fact]
    public void Rows_spans_and_cells_agree_with_every_pixel_on_its_own()
    {
        using var raw = new RawFrames();
        var random = new Random(21);
        for (int trial = 0; trial < 60; trial++)
        {
            Placement place = RandomPlace(random, trial % 3);
            var frame = new PlacedFrame("f", raw.Of(60, 40, new ushort[60 * 40 * 3]), place);
            var outline = new FrameOutline(frame, place);
            var grid = CellGrid.Over(120, 100, 4 + 4 * (trial % 2));
            var cells = new FrameCells(outline, grid);
            double Depth(int x, int y)
            {
                (double dx, double dy) = place.ToFrame(x, y);
                return Math.Min(29.5 - Math.Abs(dx), 19.5 - Math.Abs(dy));
            }
            for (int y = 0; y < 100; y++)
            {
                FrameLine line = outline.Row(-7, y);
                (double first, double last) = outline.Span(y);
                for (int x = 0; x < 120; x++)
                {
                    double depth = Depth(x, y);
                    Assert.Equal(depth, line.Depth(x + 7), 1e-3);
                    if (Math.Abs(depth) > 1e-3)
                        Assert.Equal(depth > 0, x >= first && x <= last);
                }
            }
            for (int cell = 0; cell < grid.Count; cell++)
            {
                CanvasArea area = grid.Area(cell % grid.Columns, cell / grid.Columns);
                double[] depths = [.. from y in Enumerable.Range(area.Y, area.Height) from x in Enumerable.Range(area.X, area.Width) select Depth(x, y)];
                if (depths.Any(depth => Math.Abs(depth) < 1e-3))
                    continue;
                bool isWhole = cells.Whole(cell / grid.Columns).Holds(cell % grid.Columns);
                Assert.Equal(depths.All(depth => depth > 0), isWhole);
                Assert.Equal(isWhole, outline.Covers(area));
                // May say yes too often, never no too often.
                Assert.True(cells.Touched(cell / grid.Columns).Holds(cell % grid.Columns) || depths.All(depth => depth < 0));
                Assert.True(outline.Touches(area) || depths.All(depth => depth < 0));
            }
        }
    }

    [Fact]
    public void Where_too_little_light_is_left_agrees_with_every_pixel_on_its_own()
    {
        using var raw = new RawFrames();
        var random = new Random(22);
        for (int trial = 0; trial < 60; trial++)
        {
            Placement place = RandomPlace(random, trial % 3);
            // Corners of a convex polygon that cuts the frame: points of an ellipse, in order.
            (double cx, double cy, double rx, double ry) = (40 * random.NextDouble() - 20, 30 * random.NextDouble() - 15, 15 + 20 * random.NextDouble(), 10 + 15 * random.NextDouble());
            var usable = new UsablePart([.. Enumerable.Range(0, 5 + trial % 7).Select(i => 2 * Math.PI * i / (5 + trial % 7)).Select(angle =>
                new PlanePoint(cx + rx * Math.Cos(angle), cy + ry * Math.Sin(angle)))]);
            var frame = new PlacedFrame("f", raw.Of(60, 40, new ushort[60 * 40 * 3]), place) { Usable = usable };
            var outline = new FrameOutline(frame, place);
            var map = new SeamMap([frame], [place]);
            bool Holds(int x, int y)
            {
                (double dx, double dy) = place.ToFrame(x, y);
                return usable.Holds(dx, dy) && Math.Abs(dx) <= 29.5 && Math.Abs(dy) <= 19.5;
            }
            int wrong = 0;
            for (int y = 0; y < 100; y++)
            {
                var depths = new float[120];
                map.MarkOutside(0, new(0, y, 120, 1), depths);
                for (int x = 0; x < 120; x++)
                    wrong += Holds(x, y) == depths[x] >= 0 ? 0 : 1;
            }
            // A pixel on the very edge may go either way.
            Assert.InRange(wrong, 0, 3);
            var cells = new FrameCells(outline, CellGrid.Over(120, 100, 8));
            for (int cell = 0; cell < cells.Grid.Count; cell++)
            {
                CanvasArea area = cells.Grid.Area(cell % cells.Grid.Columns, cell / cells.Grid.Columns);
                int held = Enumerable.Range(0, area.Size).Count(i => Holds(area.X + i % area.Width, area.Y + i / area.Width));
                bool isWhole = cells.Whole(cell / cells.Grid.Columns).Holds(cell % cells.Grid.Columns);
                Assert.True(isWhole ? held >= area.Size - 2 : held < area.Size, $"{held} of {area.Size} px, {isWhole}");
                Assert.True(map.Covers(0, area) ? held >= area.Size - 2 : held < area.Size);
            }
        }
    }

    [Fact]
    public void No_pixel_of_an_area_has_less_or_more_weight_than_its_bounds()
    {
        using var raw = new RawFrames();
        var random = new Random(22);
        for (int trial = 0; trial < 300; trial++)
        {
            Placement place = RandomPlace(random, trial % 3);
            var outline = new FrameOutline(new("f", raw.Of(60, 40, new ushort[60 * 40 * 3]), place), place);
            var area = new CanvasArea(20 + random.Next(60), 20 + random.Next(40), 1 + random.Next(15), 1 + random.Next(15));
            float[] weights = [.. from y in Enumerable.Range(area.Y, area.Height) from x in Enumerable.Range(area.X, area.Width) select outline.Row(x, y).Weight(0)];
            Assert.True(weights.Max() <= outline.MostWeight(area) * 1.0001 + 1e-3);
            if (outline.Covers(area))
                Assert.True(weights.Min() >= outline.LeastWeight(area) * 0.9999);
        }
    }

    /// <summary>A place on a canvas of 120 x 100 px: shifted, turned, or askew as a badly tilted sensor's.</summary>
    internal static Placement RandomPlace(Random random, int kind)
    {
        double Small(double most) => (2 * random.NextDouble() - 1) * most;
        Warp warp = kind < 2 ? default : new(Small(0.03), Small(0.03), Small(0.03), Small(0.03), Small(2e-4), Small(2e-4));
        return new(60 + Small(25), 50 + Small(20), kind == 0 ? 0 : Small(kind == 1 ? 3.1 : 0.1), warp);
    }
}
