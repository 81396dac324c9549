using System.Numerics;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>
/// The fewest of some sets that together hold all points: by branching on the point that the fewest sets hold, deeper and deeper. That fewer cannot do is proven where every
/// branch was followed.
/// </summary>
internal sealed class StopSearch
{
    // Branches followed at each depth before the search gives up; each takes some microseconds.
    private const int MostBranches = 200_000;

    private readonly ulong[][] _sets;
    private readonly int[] _numbers;
    private readonly int[][] _holders;
    private int _branches;

    /// <param name="points">The points.</param>
    /// <param name="held">For each set, whether it holds each point.</param>
    public StopSearch(PlanePoint[] points, bool[][] held)
    {
        int[] useful = [.. Enumerable.Range(0, held.Length).Where(i => held[i].Contains(true))];
        ulong[][] sets = [.. useful.Select(i => Bits(held[i]))];

        // A set that another contains is never needed; of two alike the first stays.
        int[] kept = [.. Enumerable.Range(0, sets.Length).Where(i => !Enumerable.Range(0, sets.Length).Any(k => k != i && Contains(sets[k], sets[i]) && (k < i || !Contains(sets[i], sets[k]))))];
        _sets = [.. kept.Select(i => sets[i])];
        _numbers = [.. kept.Select(i => useful[i])];
        _holders = [.. Enumerable.Range(0, points.Length).Select(point => Enumerable.Range(0, _sets.Length).Where(set => Has(_sets[set], point)).ToArray())];
        int open = Array.FindIndex(_holders, holders => holders.Length == 0);
        Open = open < 0 ? null : points[open];
    }

    /// <summary>A point that no set holds, or null where all are held.</summary>
    public PlanePoint? Open { get; }

    /// <summary>The numbers of the sets chosen.</summary>
    /// <param name="isProven">Whether fewer cannot do.</param>
    public int[] Fewest(out bool isProven)
    {
        var all = new ulong[_sets[0].Length];
        for (int point = 0; point < _holders.Length; point++)
            all[point >> 6] |= 1UL << (point & 63);
        int[] greedy = [.. Greedy(all)];
        isProven = true;
        int largest = _sets.Max(Count);
        for (int depth = (Count(all) + largest - 1) / largest; depth < greedy.Length; depth++)
        {
            var chosen = new List<int>();
            _branches = MostBranches;
            if (Fill(all, depth, largest, chosen))
                return [.. chosen.Select(set => _numbers[set])];
            isProven &= _branches > 0;
        }
        return [.. greedy.Select(set => _numbers[set])];
    }

    private bool Fill(ulong[] open, int left, int largest, List<int> chosen)
    {
        int count = Count(open);
        if (count == 0)
            return true;
        if (count > (long)left * largest || --_branches <= 0)
            return false;
        foreach (int set in Hardest(open).OrderByDescending(set => Shared(_sets[set], open)))
        {
            chosen.Add(set);
            if (Fill(Without(open, _sets[set]), left - 1, largest, chosen))
                return true;
            chosen.RemoveAt(chosen.Count - 1);
        }
        return false;
    }

    // The sets that hold the open point which the fewest hold.
    private int[] Hardest(ulong[] open)
    {
        int[]? hardest = null;
        for (int point = 0; point < _holders.Length; point++)
        {
            if (Has(open, point) && (hardest is null || _holders[point].Length < hardest.Length))
                hardest = _holders[point];
        }
        return hardest!;
    }

    private IEnumerable<int> Greedy(ulong[] open)
    {
        while (Count(open) > 0)
        {
            int best = Enumerable.Range(0, _sets.Length).MaxBy(set => Shared(_sets[set], open));
            yield return best;
            open = Without(open, _sets[best]);
        }
    }

    private static ulong[] Bits(bool[] held)
    {
        var bits = new ulong[(held.Length + 63) / 64];
        for (int i = 0; i < held.Length; i++)
        {
            if (held[i])
                bits[i >> 6] |= 1UL << (i & 63);
        }
        return bits;
    }

    private static bool Has(ulong[] bits, int i) => (bits[i >> 6] >> (i & 63) & 1) != 0;

    private static int Count(ulong[] bits) => bits.Sum(word => BitOperations.PopCount(word));

    private static int Shared(ulong[] a, ulong[] b)
    {
        int shared = 0;
        for (int i = 0; i < a.Length; i++)
            shared += BitOperations.PopCount(a[i] & b[i]);
        return shared;
    }

    private static ulong[] Without(ulong[] open, ulong[] set) => [.. open.Zip(set, (a, b) => a & ~b)];

    private static bool Contains(ulong[] outer, ulong[] inner)
    {
        for (int i = 0; i < outer.Length; i++)
        {
            if ((inner[i] & ~outer[i]) != 0)
                return false;
        }
        return true;
    }
}
