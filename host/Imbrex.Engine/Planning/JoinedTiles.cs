namespace Imbrex.Engine.Planning;

/// <summary>
/// How tiles hang together: pairs that share a window are links. The strongest spanning tree (Kruskal 1956) shows by which weakest link
/// the whole can be placed by registration.
/// </summary>
internal sealed class JoinedTiles
{
    private JoinedTiles(IReadOnlyList<IReadOnlyList<string>> groups, LinkPart? weakest) => (Groups, Weakest) = (groups, weakest);

    /// <summary>The tiles that hang together by windows of the size asked for; one group where the rule holds. Largest first.</summary>
    public IReadOnlyList<IReadOnlyList<string>> Groups { get; }

    /// <summary>The weakest link of the strongest tree over all tiles, or null where no tree reaches them all.</summary>
    public LinkPart? Weakest { get; }

    public static JoinedTiles Find(IReadOnlyList<TileRectangle> tiles, double window)
    {
        var all = new DisjointSets(tiles.Count);
        var firm = new DisjointSets(tiles.Count);
        LinkPart? weakest = null;
        int joints = 0;
        foreach ((int a, int b, double shared) in Strongest(tiles, all))
        {
            if (!all.Join(a, b))
                continue;
            if (shared >= window - PlaneArea.Snap)
                firm.Join(a, b);
            weakest = new LinkPart { A = tiles[a].Id, B = tiles[b].Id, SharedMm = shared };
            joints++;
        }
        var groups = Enumerable.Range(0, tiles.Count).GroupBy(firm.Root, i => tiles[i].Id).OrderByDescending(group => group.Count());
        return new([.. groups.Select(group => (IReadOnlyList<string>)[.. group])], joints == tiles.Count - 1 ? weakest : null);
    }

    // Links by falling strength. What cut tiles share takes long to find and is at most what they share uncut: it is found when its turn comes, unless the two
    // hang together by then. Of links that may be alike those over long sides come first, where cuts seldom reach.
    private static IEnumerable<(int A, int B, double Shared)> Strongest(IReadOnlyList<TileRectangle> tiles, DisjointSets joined)
    {
        var waiting = new PriorityQueue<(int A, int B, double Shared, bool IsExact), (double Weakness, double Apart, int A, int B)>();
        foreach ((int a, int b) in new TilePairs(tiles).Pairs())
            Wait(a, b, TileRectangle.SharedUncut(tiles[a], tiles[b]), tiles[a].Cuts.Count + tiles[b].Cuts.Count == 0);
        while (waiting.TryDequeue(out (int A, int B, double Shared, bool IsExact) link, out _))
        {
            if (link.IsExact)
                yield return (link.A, link.B, link.Shared);
            else if (joined.Root(link.A) != joined.Root(link.B))
                Wait(link.A, link.B, TileRectangle.SharedWindow(tiles[link.A], tiles[link.B]), isExact: true);
        }

        void Wait(int a, int b, double shared, bool isExact)
        {
            if (shared >= -PlaneArea.Snap)
                waiting.Enqueue((a, b, Math.Max(0, shared), isExact), (-Lengths.Down(shared), isExact ? 0 : (tiles[a].Centre - tiles[b].Centre).Length, a, b));
        }
    }

    // Disjoint sets with path halving (Tarjan and van Leeuwen 1984; from memory).
    private sealed class DisjointSets(int count)
    {
        private readonly int[] _parent = [.. Enumerable.Range(0, count)];

        public int Root(int i)
        {
            while (_parent[i] != i)
                i = _parent[i] = _parent[_parent[i]];
            return i;
        }

        public bool Join(int a, int b)
        {
            (a, b) = (Root(a), Root(b));
            _parent[a] = b;
            return a != b;
        }
    }
}
