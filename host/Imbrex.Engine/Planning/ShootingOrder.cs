using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The order in which tiles are shot, and which of its settings each takes: fewest turns of the back, then of the camera, then collisions, then stops that
/// must be overrun because of play, then least travel.
/// </summary>
/// <remarks>
/// The turns are least for any number of tiles. Collisions, overshoots and travel are least over all orders up to <see cref="MostExact"/> tiles; beyond,
/// each group of equal turns is run through in rows or columns, to and fro or always rising, whichever is best.
/// </remarks>
internal static class ShootingOrder
{
    /// <summary>Up to this many tiles the order is proven to be the best of all.</summary>
    public const int MostExact = 12;

    // Sets of states that tie in turns are tried out; more than this many bring nothing.
    private const int MostSets = 4;

    /// <summary>The best order found.</summary>
    /// <param name="tiles">Per tile, the settings that reach it, the preferred one first; at least one each.</param>
    /// <param name="moves">What it takes to go from setting to setting.</param>
    /// <returns>Indices into <paramref name="tiles"/> in shooting order, each with its setting.</returns>
    public static IReadOnlyList<(int Tile, Setting Setting)> Find(IReadOnlyList<IReadOnlyList<Setting>> tiles, Moves moves)
    {
        if (tiles.Count == 0)
            return [];
        return BackState.FewestChanges(tiles).Take(MostSets)
            .Select(states => Order([.. tiles.Select(settings => First(settings, states))], moves))
            .MinBy(order => moves.Of(order.Select(shot => shot.Setting)))!;
    }

    // The states stand upright first and by rising turn: a tile that may be shot in several takes the first.
    private static Setting First(IReadOnlyList<Setting> settings, IReadOnlyList<BackState> states) =>
        states.SelectMany(state => settings.Where(setting => BackState.Of(setting) == state)).First();

    private static IReadOnlyList<(int Tile, Setting Setting)> Order(IReadOnlyList<Setting> settings, Moves moves)
    {
        IReadOnlyList<int> order = settings.Count <= MostExact ? ExactOrder.Find(settings, moves) : RowwiseOrder.Find(settings, moves);
        return [.. order.Select(tile => (tile, settings[tile]))];
    }
}
