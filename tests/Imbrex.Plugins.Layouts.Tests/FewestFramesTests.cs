using CsCheck;
using Imbrex.Engine.Planning;
using Imbrex.Plugins.Layouts.Fewest;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

public sealed class FewestFramesTests
{
    private static readonly PlaneSize Sensor = new(36, 24);

    // The formats and overlaps of the reference cases, and the frames that the better regular grid needs: n = ceil((L - d) / (w - d)), computed by hand.
    [Theory]
    [InlineData(120, 95, 6, 20, 19)]
    [InlineData(120, 95, 4, 18, 17)]
    [InlineData(127, 101.6, 6, 28, 23)]
    [InlineData(90, 44, 4, 6, 6)]
    [InlineData(100, 75, 3, 12, 11)]
    public void Never_more_than_the_best_regular_grid_and_often_fewer(double width, double height, double overlap, int grid, int fewest)
    {
        var guide = new Guide();
        IReadOnlyList<Tile> tiles = Arrange(new(width, height), overlap, guide);
        Assert.Equal(grid, LayoutCatalog.Named("regular-grid").Arrange(Request("regular-grid", new(width, height), overlap, null, ("turn", "best"))).Count);
        Assert.Equal(fewest, tiles.Count);
        VerdictDocument verdict = AcceptanceCheck.Judge(new() { Tiles = PlacedTile.Named(tiles), Sensor = Sensor, Format = new(width, height), Overlap = overlap });
        Assert.True(verdict.Accepted, verdict.Summary);
        Assert.Contains("proven the fewest", Assert.Single(guide.Notes), StringComparison.Ordinal);
    }

    // In whole millimetres every edge may be taken to lie on whole millimetres, so that trying all such places is exhaustive.
    [Fact]
    public void As_few_as_trying_every_place_finds()
    {
        int mixed = 0;
        Gen.Select(Gen.Int[2, 5], Gen.Int[2, 5], Gen.Int[2, 12], Gen.Int[2, 10]).Where(g => g.Item3 * g.Item4 <= 6 * g.Item1 * g.Item2).Sample((w, h, width, height) =>
        {
            var stations = new[] { Anywhere(Turn.None, new(w, h)), Anywhere(Turn.Quarter, new(h, w)) };
            var search = new CoverSearch(new(width, height), stations);
            int best = EveryPlace(width, height, [(w, h), (h, w)]);
            Cover found = search.Find(best, 20_000), fewer = search.Find(best - 1, 20_000);
            Assert.Equal(best, found.Tiles?.Count);
            Assert.Null(fewer.Tiles);
            Assert.True(fewer.IsExhaustive);
            Assert.InRange(FrameBound.Of(new(width, height), [new(w, h), new(h, w)]), 1, best);
            if (found.Tiles!.Select(tile => tile.Station.Turn).Distinct().Count() > 1)
                mixed++;
        }, iter: 150, seed: "0000KOIPe803", threads: 1);
        Assert.InRange(mixed, 10, 150);
    }

    [Fact]
    public void Settled_tiles_cover_what_they_covered()
    {
        Gen.Select(Gen.Double[20, 60], Gen.Double[20, 60], Gen.Double[40, 150], Gen.Double[40, 120]).Sample((w, h, width, height) =>
        {
            var area = new PlaneSize(width, height);
            IReadOnlyList<Laid> tiles = new CoverSearch(area, [Anywhere(Turn.None, new(w, h)), Anywhere(Turn.Quarter, new(h, w))]).Find(100, 50).Tiles!;
            IReadOnlyList<Laid> settled = Settling.Settle(area, tiles);
            for (double x = -width / 2; x <= width / 2; x += width / 97)
            {
                for (double y = -height / 2; y <= height / 2; y += height / 89)
                    Assert.Contains(settled, tile => x >= tile.Left - 1e-6 && x <= tile.Right + 1e-6 && y >= tile.Top - 1e-6 && y <= tile.Bottom + 1e-6);
            }
        }, iter: 30, threads: 1);
    }

    [Fact]
    public void Of_as_few_frames_those_with_most_overlap()
    {
        // 3 x 2 level tiles over 90 x 44 share (3 x 36 - 90) / 2 = 9 mm across and 4 mm down, and no mixture shares more.
        var guide = new Guide();
        IReadOnlyList<Tile> tiles = Arrange(new(90, 44), 2, guide);
        Assert.Equal([new(-27, -10), new(0, -10), new(27, -10), new(-27, 10), new(0, 10), new(27, 10)], tiles.Select(tile => tile.Pose.Centre));
        Assert.All(tiles, tile => Assert.Equal(Turn.None, tile.Pose.Turn));
    }

    [Theory]
    [InlineData("level", Turn.None, 20)]
    [InlineData("upright", Turn.Quarter, 21)]
    public void Only_one_turn_where_asked(string turns, Turn turn, int frames)
    {
        IReadOnlyList<Tile> tiles = Arrange(new(120, 95), 6, new Guide(), ("turns", turns));
        Assert.Equal(frames, tiles.Count);
        Assert.All(tiles, tile => Assert.Equal(turn, tile.Pose.Turn));
    }

    [Fact]
    public void Limits_that_end_too_early_are_refused_with_what_they_span()
    {
        var limits = new BackLimits(-20, -20, 20, 20, [Turn.None]);
        RefusalException refusal = Assert.Throws<RefusalException>(() => LayoutCatalog.Named("fewest-frames").Arrange(Request("fewest-frames", new(90, 44), 4, null) with { Limits = limits }));
        Assert.Contains("76 x 64 mm", refusal.Message, StringComparison.Ordinal);
    }

    // Against every subset of up to ten sets.
    [Fact]
    public void As_few_stops_as_trying_every_choice_finds()
    {
        Gen.Select(Gen.Int[1, 10], Gen.Int[1, 14], Gen.Double[0.2, 0.7]).SelectMany((sets, points, share) =>
            Gen.Double[0, 1].Array[points].Array[sets].Select(draws => draws.Select(of => of.Select(draw => draw < share).ToArray()).ToArray())).Sample(held =>
        {
            int points = held[0].Length;
            var search = new StopSearch([.. Enumerable.Range(0, points).Select(i => new PlanePoint(i, 0))], held);
            int best = Enumerable.Range(1, (1 << held.Length) - 1)
                .Where(choice => Enumerable.Range(0, points).All(point => held.Where((_, set) => (choice >> set & 1) != 0).Any(of => of[point])))
                .Select(choice => System.Numerics.BitOperations.PopCount((uint)choice)).DefaultIfEmpty(0).Min();
            Assert.Equal(best == 0, search.Open is not null);
            if (best == 0)
                return;
            int[] found = search.Fewest(out bool isProven);
            Assert.True(isProven);
            Assert.Equal(best, found.Length);
            Assert.All(Enumerable.Range(0, points), point => Assert.Contains(found, set => held[set][point]));
        }, iter: 300);
    }

    private static Station Anywhere(Turn turn, PlaneSize held) => new(turn, held, Reach.Anywhere, Reach.Anywhere);

    // Iterative deepening over all whole-number places of the tile that covers the first open cell.
    private static int EveryPlace(int width, int height, (int W, int H)[] tiles)
    {
        var covered = new int[width, height];
        int count = 1;
        while (!Fill(count))
            count++;
        return count;

        bool Fill(int left)
        {
            (int x, int y) = (-1, -1);
            int open = 0;
            for (int j = height - 1; j >= 0; j--)
            {
                for (int i = width - 1; i >= 0; i--)
                {
                    if (covered[i, j] == 0)
                        (x, y, open) = (i, j, open + 1);
                }
            }
            if (open == 0)
                return true;
            if (open > left * tiles[0].W * tiles[0].H)
                return false;
            foreach ((int w, int h) in tiles.Distinct())
            {
                // Nothing above is open: the tile's top may lie there.
                for (int i = x - w + 1; i <= x; i++)
                {
                    Lay(i, y, w, h, 1);
                    bool filled = Fill(left - 1);
                    Lay(i, y, w, h, -1);
                    if (filled)
                        return true;
                }
            }
            return false;
        }

        void Lay(int left, int top, int w, int h, int by)
        {
            for (int i = Math.Max(0, left); i < Math.Min(width, left + w); i++)
            {
                for (int j = top; j < Math.Min(height, top + h); j++)
                    covered[i, j] += by;
            }
        }
    }

    private static LayoutRequest Request(string name, PlaneSize format, double overlap, ILayoutGuide? guide, params (string, string)[] parameters) => new()
    {
        Sensor = Sensor,
        Format = format,
        Overlap = overlap,
        Guide = guide,
        Parameters = LayoutCatalog.Bind(LayoutCatalog.Named(name), parameters),
    };

    private static IReadOnlyList<Tile> Arrange(PlaneSize format, double overlap, Guide guide, params (string, string)[] parameters)
    {
        guide.Rules = tiles => AcceptanceCheck.Judge(new() { Tiles = PlacedTile.Named(tiles), Sensor = Sensor, Format = format, Overlap = overlap });
        return LayoutCatalog.Named("fewest-frames").Arrange(Request("fewest-frames", format, overlap, guide, parameters));
    }

    // What the host offers, by way of the public verdict.
    private sealed class Guide : ILayoutGuide
    {
        public Func<IReadOnlyList<Tile>, VerdictDocument>? Rules { get; set; }

        public List<string> Notes { get; } = [];

        public Imbrex.Sdk.Adapters.IBack? Back => null;

        public LayoutTrial Try(IReadOnlyList<Tile> tiles)
        {
            VerdictDocument verdict = Rules!(tiles);
            return new(verdict.Accepted, verdict.MeasuredOverlap?.WindowMm ?? 0, default);
        }

        public void Note(string text) => Notes.Add(text);
    }
}
