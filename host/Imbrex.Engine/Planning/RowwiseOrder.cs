using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>A good order of many settings: grouped by state, each group run through row by row or column by column.</summary>
internal static class RowwiseOrder
{
    // Positions this near belong to one row.
    private const double SameRow = 0.5;

    public static IReadOnlyList<int> Find(IReadOnlyList<Setting> settings, Moves moves)
    {
        IReadOnlyList<int>? best = null;
        Handling least = default;
        foreach (IReadOnlyList<BackState> states in StateOrders([.. settings.Select(BackState.Of).Distinct()]))
        {
            IReadOnlyList<int> order = Chain(states, settings, moves);
            Handling cost = moves.Of(order.Select(i => settings[i]));
            if (best is null || cost < least)
                (best, least) = (order, cost);
        }
        return best!;
    }

    // Both seats in either order; the common turn, if there is one, stands at the junction.
    private static IEnumerable<IReadOnlyList<BackState>> StateOrders(IReadOnlyList<BackState> states)
    {
        foreach (bool first in new[] { false, true })
        {
            BackState[] before = [.. states.Where(state => state.BackTurned == first)];
            BackState[] after = [.. states.Where(state => state.BackTurned != first)];
            var common = before.Select(state => state.CameraTurn).Intersect(after.Select(state => state.CameraTurn)).ToList();
            foreach (Sdk.Geometry.Turn? junction in common.Count > 0 ? common.Select(turn => (Sdk.Geometry.Turn?)turn) : [null])
                yield return [.. before.OrderBy(state => state.CameraTurn == junction), .. after.OrderBy(state => state.CameraTurn != junction)];
        }
    }

    // Each group has several good runs; the choice for the whole chain is again dynamic programming, group by group.
    private static List<int> Chain(IReadOnlyList<BackState> states, IReadOnlyList<Setting> settings, Moves moves)
    {
        List<(Handling Cost, List<int> Order)> chains = [(default, [])];
        foreach (BackState state in states)
        {
            int[] group = [.. Enumerable.Range(0, settings.Count).Where(i => BackState.Of(settings[i]) == state)];
            chains = [.. Runs(group, settings).Select(run => chains.Select(chain => Joined(chain, run)).MinBy(chain => chain.Cost))];
        }
        return chains.MinBy(chain => chain.Cost).Order;

        (Handling Cost, List<int> Order) Joined((Handling Cost, List<int> Order) chain, IReadOnlyList<int> run)
        {
            Handling cost = chain.Cost + moves.Of(run.Select(i => settings[i]));
            if (chain.Order.Count > 0)
                cost += moves.Between(settings[chain.Order[^1]], settings[run[0]]);
            return (cost, [.. chain.Order, .. run]);
        }
    }

    private static IEnumerable<IReadOnlyList<int>> Runs(int[] group, IReadOnlyList<Setting> settings)
    {
        int axes = settings[group[0]].Positions.Count;
        foreach (int along in Enumerable.Range(0, axes))
        {
            List<List<int>> rows = Rows(group, settings, axes > 1 ? (along + 1) % axes : -1, along);
            foreach (bool toAndFro in new[] { false, true })
            {
                foreach (bool backwards in new[] { false, true })
                {
                    List<List<int>> turned = [.. rows.Select((row, i) => toAndFro && i % 2 == 1 != backwards ? [.. row.AsEnumerable().Reverse()] : row)];
                    yield return [.. turned.SelectMany(row => row)];
                    yield return [.. turned.AsEnumerable().Reverse().SelectMany(row => row)];
                    yield return [.. turned.SelectMany(row => row.AsEnumerable().Reverse())];
                    yield return [.. turned.AsEnumerable().Reverse().SelectMany(row => row.AsEnumerable().Reverse())];
                }
            }
        }
    }

    private static List<List<int>> Rows(int[] group, IReadOnlyList<Setting> settings, int across, int along)
    {
        var rows = new List<List<int>>();
        double row = double.NegativeInfinity;
        foreach ((int i, double position) in group.Select(i => (i, across < 0 ? 0 : settings[i].Positions[across])).OrderBy(pair => pair.Item2))
        {
            if (rows.Count == 0 || position > row + SameRow)
            {
                rows.Add([]);
                row = position;
            }
            rows[^1].Add(i);
        }
        return [.. rows.Select(members => members.OrderBy(i => settings[i].Positions[along]).ToList())];
    }
}
