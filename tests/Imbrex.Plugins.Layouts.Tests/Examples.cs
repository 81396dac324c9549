using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

/// <summary>Worked examples. Frame counts: the reference values of n = ceil((L - d) / (w - d)), computed by hand.</summary>
public sealed class Examples
{
    private static readonly PlaneSize Sensor = new(36, 24);

    [Theory]
    [InlineData(120, 95, 6, "0", 20)]
    [InlineData(120, 95, 6, "90", 21)]
    [InlineData(120, 95, 4, "0", 20)]
    [InlineData(120, 95, 4, "90", 18)]
    [InlineData(127, 101.6, 6, "0", 30)]
    [InlineData(127, 101.6, 6, "90", 28)]
    [InlineData(120, 95, 4, "best", 18)]
    [InlineData(120, 95, 6, "best", 20)]
    public void A_regular_grid_needs_the_computed_frames(double width, double height, double overlap, string turn, int frames) =>
        Assert.Equal(frames, Arrange("regular-grid", new(width, height), overlap, ("turn", turn)).Count);

    [Fact]
    public void A_regular_grid_spreads_its_tiles_to_the_edges()
    {
        IReadOnlyList<Tile> tiles = Arrange("regular-grid", new(120, 95), 6);
        Assert.Equal(-42, tiles.Min(tile => tile.Pose.Centre.X), 1e-9);
        Assert.Equal(35.5, tiles.Max(tile => tile.Pose.Centre.Y), 1e-9);
    }

    [Fact]
    public void Given_counts_and_steps_are_taken_as_they_are()
    {
        IReadOnlyList<Tile> tiles = Arrange("regular-grid", new(90, 44), 4, ("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20"));
        Assert.Equal(
            [new(-27, -10), new(0, -10), new(27, -10), new(-27, 10), new(0, 10), new(27, 10)],
            tiles.Select(tile => tile.Pose.Centre));
    }

    [Fact]
    public void A_step_that_is_too_long_is_refused_with_the_longest()
    {
        RefusalException refusal = Assert.Throws<RefusalException>(() => Arrange("regular-grid", new(90, 44), 4, ("step-x", "33")));
        Assert.Contains("33 mm", refusal.Message, StringComparison.Ordinal);
        Assert.Contains("at most 32 mm", refusal.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void A_tile_outside_the_limits_is_refused_with_the_limit()
    {
        var limits = new BackLimits(-25, -20, 25, 20, [Turn.None]);
        RefusalException refusal = Assert.Throws<RefusalException>(() => Arrange("regular-grid", new(90, 44), 4, limits));
        Assert.Contains("(-27, -10) mm", refusal.Message, StringComparison.Ordinal);
        Assert.Contains("-25 mm", refusal.Message, StringComparison.Ordinal);
        Assert.Contains("from -25 to 25 mm", refusal.Remedy, StringComparison.Ordinal);
    }

    [Fact]
    public void A_turn_that_the_back_lacks_is_refused_with_those_it_has()
    {
        var limits = BackLimits.Unlimited with { Turns = [Turn.None, Turn.Half] };
        RefusalException refusal = Assert.Throws<RefusalException>(() => Arrange("mixed-turns", new(90, 44), 4, limits));
        Assert.Contains("90 or 270", refusal.Message, StringComparison.Ordinal);
        Assert.Contains("0, 180", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Best_takes_the_other_turn_where_the_first_is_out_of_reach()
    {
        var limits = new BackLimits(-50, -31, 50, 31, Turns.All);
        Assert.All(Arrange("regular-grid", new(120, 95), 6, limits, ("turn", "best")), tile => Assert.Equal(Turn.Quarter, tile.Pose.Turn));
    }

    [Fact]
    public void A_strip_that_is_too_narrow_says_what_it_holds()
    {
        RefusalException refusal = Assert.Throws<RefusalException>(() => Arrange("single-strip", new(120, 30), 4));
        Assert.Contains("24 mm down", refusal.Message, StringComparison.Ordinal);
        Assert.Equal(4, Arrange("single-strip", new(120, 24), 4).Count);
        Assert.Equal(4, Arrange("single-strip", new(24, 120), 4, ("direction", "down"), ("turn", "90")).Count);
    }

    [Fact]
    public void Staggered_rows_alternate_in_length_and_lie_half_a_step_aside()
    {
        IReadOnlyList<Tile> tiles = Arrange("staggered-rows", new(90, 64), 4);
        Assert.Equal([3, 4, 3], tiles.GroupBy(tile => tile.Pose.Centre.Y).Select(row => row.Count()));
        double[] first = [.. tiles.Take(3).Select(tile => tile.Pose.Centre.X)];
        Assert.Equal([-40.5, -13.5, 13.5, 40.5], tiles.Skip(3).Take(4).Select(tile => tile.Pose.Centre.X));
        Assert.Equal([-27, 0, 27], first);
    }

    // 90 mm: upright tiles 24 wide reach 33 +- 12; 42 + 2 x 4 mm are left for the level ones, two of 36 with 22 in common.
    [Fact]
    public void Mixed_turns_put_upright_tiles_at_the_sides()
    {
        IReadOnlyList<Tile> tiles = Arrange("mixed-turns", new(90, 32), 4);
        Assert.Equal([-33, 33], tiles.Where(tile => tile.Pose.Turn == Turn.Quarter).Select(tile => tile.Pose.Centre.X));
        Assert.Equal([-7, 7, -7, 7], tiles.Where(tile => tile.Pose.Turn == Turn.None).Select(tile => tile.Pose.Centre.X));
    }

    [Fact]
    public void A_back_that_misses_by_more_than_the_sensor_is_refused() =>
        Assert.Throws<RefusalException>(() => LayoutCatalog.Named("regular-grid").Arrange(new()
        {
            Sensor = Sensor,
            Format = new(90, 44),
            Overlap = 4,
            PositionTolerance = 20,
            Parameters = LayoutCatalog.Bind(LayoutCatalog.Named("regular-grid")),
        }));

    private static IReadOnlyList<Tile> Arrange(string layout, PlaneSize format, double overlap, params (string, string)[] parameters) =>
        Arrange(layout, format, overlap, BackLimits.Unlimited, parameters);

    private static IReadOnlyList<Tile> Arrange(string name, PlaneSize format, double overlap, BackLimits limits, params (string, string)[] parameters)
    {
        IMosaicLayout layout = LayoutCatalog.Named(name);
        return layout.Arrange(new() { Sensor = Sensor, Format = format, Overlap = overlap, Limits = limits, Parameters = LayoutCatalog.Bind(layout, parameters) });
    }
}
