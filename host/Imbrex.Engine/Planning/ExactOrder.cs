using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>The best order of a few settings: dynamic programming over subsets (Held and Karp 1962; Bellman 1962).</summary>
internal static class ExactOrder
{
    public static IReadOnlyList<int> Find(IReadOnlyList<Setting> settings, Moves moves)
    {
        int count = settings.Count;
        var move = new Handling[count, count];
        for (int from = 0; from < count; from++)
        {
            for (int to = 0; to < count; to++)
                move[from, to] = moves.Between(settings[from], settings[to]);
        }

        // The back comes upright out of its case: begin so where that costs nothing.
        double[] begin = Beginnings(settings);
        int[] order = Best(move, begin, _ => true);
        if (settings[order[0]].BackTurned && settings.Any(setting => !setting.BackTurned))
        {
            int[] upright = Best(move, begin, first => !settings[first].BackTurned);
            return Work(order) < Work(upright) ? order : upright;
        }
        return order;

        Handling Work(int[] order) => moves.Of(order.Select(i => settings[i]));
    }

    // Of orders that need the same, one that begins at the smallest readings: a preference far below any travel that counts.
    private static double[] Beginnings(IReadOnlyList<Setting> settings)
    {
        const double Preference = 1e-6;
        double[] sums = [.. settings.Select(setting => setting.Positions.Sum())];
        return [.. sums.Select(sum => Preference * sums.Count(other => other < sum))];
    }

    private static int[] Best(Handling[,] move, double[] begin, Func<int, bool> mayBegin)
    {
        int count = move.GetLength(0);
        var cost = new Handling?[1 << count, count];
        var before = new int[1 << count, count];
        for (int first = 0; first < count; first++)
            cost[1 << first, first] = mayBegin(first) ? new Handling(0, 0, 0, 0, begin[first]) : null;
        for (int set = 1; set < 1 << count; set++)
        {
            for (int last = 0; last < count; last++)
            {
                if (cost[set, last] is not { } soFar)
                    continue;
                for (int next = 0; next < count; next++)
                {
                    int larger = set | 1 << next;
                    if (larger == set)
                        continue;
                    Handling sum = soFar + move[last, next];
                    if (cost[larger, next] is { } known && !(sum < known))
                        continue;
                    (cost[larger, next], before[larger, next]) = (sum, last);
                }
            }
        }
        return Trace(cost, before, count);
    }

    private static int[] Trace(Handling?[,] cost, int[,] before, int count)
    {
        int set = (1 << count) - 1;
        int last = Enumerable.Range(0, count).Where(end => cost[set, end] is not null).MinBy(end => cost[set, end]!.Value);
        var order = new int[count];
        for (int place = count - 1; place >= 0; place--)
        {
            order[place] = last;
            (set, last) = (set & ~(1 << last), before[set, last]);
        }
        return order;
    }
}
