using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class SeamMapTests
{
    [Fact]
    public void Every_pixel_shows_the_frame_with_most_room_around_it_as_brute_force_finds_it()
    {
        using var raw = new RawFrames();
        var random = new Random(4);
        for (int trial = 0; trial < 12; trial++)
        {
            List<PlacedFrame> frames = [];
            List<Placement> placements = [];
            for (int i = 0; i < 5; i++)
            {
                var place = new Placement(random.Next(20, 140) + random.NextDouble(), random.Next(20, 100) + random.NextDouble(), (random.NextDouble() - 0.5) * (trial < 6 ? 0.02 : 3));
                frames.Add(new($"f{i}", raw.Of(40 + 10 * i, 60 - 7 * i, (_, _, _) => 0, i), place));
                placements.Add(place);
            }
            var seams = new SeamMap(frames, placements);
            var area = new CanvasArea(-10, -5, 180, 130);
            var labels = new byte[area.Size];
            seams.Fill(area, labels, new float[area.Size]);
            for (int i = 0; i < area.Size; i++)
            {
                int x = area.X + i % area.Width, y = area.Y + i / area.Width;
                if (frames.Select((f, k) => Depth(f, placements[k], x, y)).Any(d => Math.Abs(d) < 2e-3))
                    continue; // on an edge: too near to call
                double[] rooms = [.. frames.Select((f, k) => Room(f, placements[k], x, y))];
                double most = rooms.Max();
                if (most > 0 && rooms.Count(room => room > most * (1 - 1e-5)) > 1)
                    continue;
                Assert.Equal(most <= 0 ? SeamMap.None : Array.IndexOf(rooms, most), labels[i]);
            }

            var part = new CanvasArea(random.Next(100), random.Next(80), 1 + random.Next(20), 1 + random.Next(20));
            for (int k = 0; k < frames.Count; k++)
            {
                double[] depths = [.. Pixels(part).Select(p => Depth(frames[k], placements[k], p.X, p.Y))];
                Assert.Equal(depths.All(d => d >= 0), seams.Covers(k, part));
                // May say yes too often, never no too often.
                Assert.True(seams.Touches(k, part) || depths.All(d => d < 0));
                var marks = new float[part.Size];
                seams.MarkOutside(k, part, marks);
                Assert.All(marks.Zip(depths), pair => Assert.Equal(pair.Second, pair.First, 1e-3));
            }
        }
    }

    [Fact]
    public void A_frame_shows_its_own_outermost_pixels_and_nothing_beyond()
    {
        using var raw = new RawFrames();
        PlacedFrame frame = new("a", raw.Of(20, 10, (_, _, _) => 0), new(9.5 + 3, 4.5 + 2, 0));
        var seams = new SeamMap([frame], [frame.Nominal]);
        var labels = new byte[30 * 20];
        seams.Fill(new(0, 0, 30, 20), labels, new float[labels.Length]);
        Assert.Equal(200, labels.AsSpan().Count((byte)0));
        Assert.Equal(0, labels[2 * 30 + 3]);
        Assert.Equal(0, labels[11 * 30 + 22]);
    }

    private static IEnumerable<(int X, int Y)> Pixels(CanvasArea area) =>
        from row in Enumerable.Range(area.Y, area.Height) from column in Enumerable.Range(area.X, area.Width) select (column, row);

    [Theory]
    [InlineData(3, 2)]
    [InlineData(1, 4)]
    [InlineData(4, 1)]
    public void Seams_of_a_grid_run_along_the_middle_of_what_neighbours_share(int columns, int rows)
    {
        // Tiles of 180 x 120 px sharing 45 and 30, each a little off its place, as a home-made back leaves them.
        using var raw = new RawFrames();
        var random = new Random(6);
        double Off() => 3 * (random.NextDouble() - 0.5);
        List<PlacedFrame> frames = [.. from row in Enumerable.Range(0, rows) from column in Enumerable.Range(0, columns)
                                       select new PlacedFrame("t", raw.Of(180, 120, (_, _, _) => 0), new(89.5 + 135 * column + Off(), 59.5 + 90 * row + Off(), 0))];
        (int width, int height) = (135 * columns + 45, 90 * rows + 30);
        var labels = new byte[width * height];
        new SeamMap(frames, [.. frames.Select(f => f.Nominal)]).Fill(new(0, 0, width, height), labels, new float[labels.Length]);
        // A tenth of the shared strip beside its middle line a pixel belongs to the tile on its own side; the outermost 12 px, where tiles end
        // at different heights, are left out.
        for (int y = 12; y < height - 12; y++)
        {
            for (int x = 12; x < width - 12; x++)
            {
                double across = (x - 22.5) / 135, down = (y - 15.0) / 90;
                if (Math.Abs(across - Math.Round(across)) * 135 < 5 || Math.Abs(down - Math.Round(down)) * 90 < 5)
                    continue;
                int column = Math.Clamp((int)Math.Floor(across), 0, columns - 1), row = Math.Clamp((int)Math.Floor(down), 0, rows - 1);
                Assert.Equal(row * columns + column, labels[y * width + x]);
            }
        }
    }

    private static double Room(PlacedFrame frame, Placement p, double x, double y)
    {
        (double dx, double dy) = (x - p.X, y - p.Y);
        double fx = Math.Cos(p.Angle) * dx + Math.Sin(p.Angle) * dy, fy = -Math.Sin(p.Angle) * dx + Math.Cos(p.Angle) * dy;
        double across = (frame.Frame.Width + 1) / 2.0 - Math.Abs(fx), down = (frame.Frame.Height + 1) / 2.0 - Math.Abs(fy);
        return Math.Min(across, down) < 1 ? 0 : across * down;
    }

    private static double Depth(PlacedFrame frame, Placement p, double x, double y)
    {
        (double dx, double dy) = (x - p.X, y - p.Y);
        double fx = Math.Cos(p.Angle) * dx + Math.Sin(p.Angle) * dy, fy = -Math.Sin(p.Angle) * dx + Math.Cos(p.Angle) * dy;
        double right = (frame.Frame.Width - 1) / 2.0, bottom = (frame.Frame.Height - 1) / 2.0;
        return new[] { right - fx, right + fx, bottom - fy, bottom + fy }.Min();
    }
}
