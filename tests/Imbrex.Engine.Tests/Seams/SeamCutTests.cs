using Imbrex.Engine.Seams;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class SeamCutTests
{
    [Fact]
    public void Two_frames_are_divided_as_cheaply_as_any_of_all_divisions()
    {
        var random = new Random(11);
        for (int trial = 0; trial < 40; trial++)
        {
            var costs = new TinyCosts(random, 2, 4, 3);
            byte[] labels = [.. Enumerable.Range(0, 12).Select(_ => (byte)random.Next(2))];
            SeamCut.Improve(costs, labels, null, TestContext.Current.CancellationToken);
            Assert.Equal(costs.Least(), SeamCut.Cost(costs, labels));
        }
    }

    [Fact]
    public void Three_frames_are_divided_nearly_so_and_never_worse_than_before()
    {
        var random = new Random(12);
        double found = 0, least = 0;
        for (int trial = 0; trial < 25; trial++)
        {
            var costs = new TinyCosts(random, 3, 3, 3);
            byte[] labels = [.. Enumerable.Range(0, 9).Select(_ => (byte)random.Next(3))];
            long before = SeamCut.Cost(costs, labels);
            SeamCut.Improve(costs, labels, null, TestContext.Current.CancellationToken);
            long after = SeamCut.Cost(costs, labels), best = costs.Least();
            Assert.InRange(after, best, before);
            // Expansion moves stay within twice the least (Boykov, Veksler and Zabih 2001, theorem 6.1, all pairs alike; from memory).
            Assert.True(after <= 2 * best);
            (found, least) = (found + after, least + best);
        }
        Assert.True(found < 1.01 * least, $"{found} against {least}");
    }

    [Fact]
    public void Cells_that_are_not_free_keep_their_frame()
    {
        var random = new Random(13);
        var costs = new TinyCosts(random, 3, 8, 8);
        byte[] labels = [.. Enumerable.Range(0, 64).Select(_ => (byte)random.Next(3))];
        byte[] before = [.. labels];
        bool[] isFree = [.. Enumerable.Range(0, 64).Select(_ => random.Next(2) == 0)];
        SeamCut.Improve(costs, labels, isFree, TestContext.Current.CancellationToken);
        Assert.All(Enumerable.Range(0, 64).Where(i => !isFree[i]), i => Assert.Equal(before[i], labels[i]));
        Assert.True(SeamCut.Cost(costs, labels) < SeamCut.Cost(costs, before));
    }

    [Fact]
    public void Cuts_are_as_small_as_an_obvious_search_finds_them()
    {
        var random = new Random(14);
        for (int trial = 0; trial < 60; trial++)
        {
            (int columns, int rows) = (2 + random.Next(6), 1 + random.Next(6));
            int n = columns * rows;
            var slow = new int[n + 2, n + 2];
            var graph = new CutGraph();
            graph.Begin(n);
            for (int i = 0; i < n; i++)
            {
                (int toSink, int toSource) = (random.Next(4) == 0 ? random.Next(60) : 0, random.Next(4) == 0 ? random.Next(60) : 0);
                graph.AddTerminals(i, toSink, toSource);
                (slow[n, i], slow[i, n + 1]) = (toSink, toSource);
                if (i % columns + 1 < columns)
                    Link(0, i, i + 1);
                if (i + columns < n)
                    Link(1, i, i + columns);
            }
            graph.Cut();
            long cut = 0;
            bool IsSink(int node) => node == n + 1 || (node != n && graph.IsSink(node));
            for (int i = 0; i < n + 2; i++)
            {
                for (int j = 0; j < n + 2; j++)
                    cut += !IsSink(i) && IsSink(j) ? slow[i, j] : 0;
            }
            Assert.Equal(LargestFlow(slow, n, n + 1), cut);

            void Link(int direction, int from, int to)
            {
                int capacity = random.Next(3) == 0 ? 0 : random.Next(20);
                graph.Link(from, direction, to, capacity);
                slow[from, to] += capacity;
            }
        }
    }

    // Ford and Fulkerson by breadth: the slow, obvious version. The capacities come back unharmed.
    private static long LargestFlow(int[,] capacities, int source, int sink)
    {
        int n = capacities.GetLength(0);
        var left = (int[,])capacities.Clone();
        for (long flow = 0; ; flow++)
        {
            var from = new int[n];
            Array.Fill(from, -1);
            from[source] = source;
            var queue = new Queue<int>([source]);
            while (queue.TryDequeue(out int node))
            {
                for (int next = 0; next < n; next++)
                {
                    if (left[node, next] > 0 && from[next] < 0)
                    {
                        from[next] = node;
                        queue.Enqueue(next);
                    }
                }
            }
            if (from[sink] < 0)
                return flow;
            for (int node = sink; node != source; node = from[node])
            {
                left[from[node], node]--;
                left[node, from[node]]++;
            }
        }
    }
}
