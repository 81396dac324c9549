using CsCheck;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>The shooting order against all orders, and worked grids beyond what all orders can be tried for.</summary>
public sealed class OrderOfShots
{
    private static readonly IBack Plain = Back("");
    private static readonly IBack WithPlay = Back(", \"backlashMm\": 0.5, \"approach\": \"rising\"");

    private static readonly Gen<Setting> AnySetting = Gen.Select(Gen.Int[-3, 3], Gen.Int[-2, 2], Gen.Int[0, 1], Gen.Bool,
        (x, y, turn, over) => new Setting([10.0 * x, 8.0 * y], turn == 0 ? Turn.None : Turn.Quarter, over));

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Up_to_seven_settings_no_order_needs_less(bool play)
    {
        IBack back = play ? WithPlay : Plain;
        AnySetting.Array[1, 7].Sample(settings =>
        {
            Handling best = Permutations([.. settings]).Select(order => new Moves(back).Of(order)).Min();
            IReadOnlyList<int> found = ExactOrder.Find(settings, new Moves(back));
            Assert.Equal(Enumerable.Range(0, settings.Length), found.Order());
            Assert.Equal(0, new Moves(back).Of(found.Select(i => settings[i])).CompareTo(best));
        }, iter: 60);
    }

    [Fact]
    public void With_a_choice_of_settings_no_choice_needs_fewer_turns()
    {
        AnySetting.Array[1, 3].Array[1, 5].Sample(tiles =>
        {
            (int, int) best = Choices([.. tiles]).SelectMany(choice => Permutations([.. choice])).Select(order => Turnings(new Moves(Plain).Of(order))).Min();
            var found = ShootingOrder.Find(tiles, new Moves(Plain));
            Assert.All(found, shot => Assert.Contains(shot.Setting, tiles[shot.Tile]));
            Assert.Equal(best, Turnings(new Moves(Plain).Of(found.Select(shot => shot.Setting))));
        }, iter: 40);
    }

    [Fact]
    public void Many_tiles_take_no_more_turns_than_their_groups_need_and_a_grid_is_run_to_and_fro()
    {
        Setting[] grid = [.. from y in new[] { -12.0, -4, 4, 12 } from x in new[] { -20.0, -10, 0, 10, 20 } select new Setting([x, y])];
        Handling work = Work(grid, Plain);
        Assert.Equal(new Handling(0, 0, 0, 0, (5 * 24) + 40), work);

        Setting[] both = [.. grid, .. grid.Select(setting => setting with { CameraTurn = Turn.Quarter, BackTurned = true }), .. grid.Select(setting => setting with { CameraTurn = Turn.Quarter })];
        Assert.Equal((1, 1), Turnings(Work(both, Plain)));
    }

    [Fact]
    public void With_play_across_columns_are_shot_rising_without_overrunning_a_stop()
    {
        Setting[] grid = [.. from y in new[] { -12.0, -4, 4, 12 } from x in new[] { -20.0, -10, 0, 10, 20 } select new Setting([x, y])];
        IReadOnlyList<(int Tile, Setting Setting)> order = ShootingOrder.Find([.. grid.Select(setting => (IReadOnlyList<Setting>)[setting])], new Moves(WithPlay));
        Assert.Equal(0, new Moves(WithPlay).Of(order.Select(shot => shot.Setting)).Overshoots);
        double[] across = [.. order.Select(shot => shot.Setting.Positions[0])];
        Assert.Equal(across.Order(), across);
    }

    // Two rows on a rail: the back is turned over in between, and the slide must come back for the second row.
    [Fact]
    public void A_rail_with_play_says_where_it_must_be_overrun()
    {
        KitDocument kit = Kits.Rail(axis: "\"minMm\": -40, \"maxMm\": 40, \"backlashMm\": 0.4");
        PlanResult result = Planner.Plan(kit.Plan(new(90, 44), 4, ("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20")));
        double[] positions = [.. result.Plan!.Tiles.Select(tile => tile.Setting!.Positions[0])];
        Assert.Equal([-27, 0, 27, -27, 0, 27], positions);
        Assert.Equal(1, result.Verdict.Handling!.Overshoots);
        Assert.Equal(54 + 54 + 0.8 + 54, result.Verdict.Handling.TravelMm, 1e-9);
        Assert.Contains(result.Verdict.Notes, note => note.Contains("come back for " + result.Plan.Tiles[3].Id, StringComparison.Ordinal));
    }

    [Fact]
    public void Work_begins_with_the_back_upright() =>
        Assert.False(ShootingOrder.Find([[new([0, 0], Turn.None, true)], [new([0, 0])], [new([5, 0])]], new Moves(Plain))[0].Setting.BackTurned);

    private static Handling Work(Setting[] settings, IBack back) =>
        new Moves(back).Of(ShootingOrder.Find([.. settings.Select(setting => (IReadOnlyList<Setting>)[setting])], new Moves(back)).Select(shot => shot.Setting));

    private static (int, int) Turnings(Handling work) => (work.BackTurns, work.CameraTurns);

    private static IBack Back(string play) => Kits.Cross($$"""
        "axes": [ { "minMm": -40, "maxMm": 40{{play}} }, { "minMm": -20, "maxMm": 20 } ],
        "turns": [ { "deg": 0 }, { "deg": 90 } ], "seats": [ { "state": "upright" }, { "state": "turned" } ]
        """).Build().Back;

    internal static IEnumerable<IReadOnlyList<T>> Permutations<T>(IReadOnlyList<T> items)
    {
        if (items.Count <= 1)
            return [items];
        return items.SelectMany((first, i) => Permutations<T>([.. items.Where((_, j) => j != i)]).Select(rest => (IReadOnlyList<T>)[first, .. rest]));
    }

    private static IEnumerable<IReadOnlyList<Setting>> Choices(IReadOnlyList<Setting[]> tiles) => tiles.Count == 0
        ? [[]]
        : tiles[0].SelectMany(first => Choices([.. tiles.Skip(1)]).Select(rest => (IReadOnlyList<Setting>)[first, .. rest]));
}
