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
        foreach (Link link in Strongest(tiles, all))
        {
            if (!all.Join(link.A, link.B))
                continue;
            if (link.Shared >= window - PlaneArea.Snap)
                firm.Join(link.A, link.B);
            weakest = new LinkPart { A = tiles[link.A].Id, B = tiles[link.B].Id, SharedMm = link.Shared };
            joints++;
        }
        return new(GroupsOf(tiles, firm), joints == tiles.Count - 1 ? weakest : null);
    }

    private static List<string>[] GroupsOf(IReadOnlyList<TileRectangle> tiles, DisjointSets sets)
    {
        var groups = new List<List<string>>();
        var ofRoot = new List<string>?[tiles.Count];
        for (int i = 0; i < tiles.Count; i++)
        {
            ref List<string>? group = ref ofRoot[sets.Root(i)];
            if (group is null)
                groups.Add(group = []);
            group.Add(tiles[i].Id);
        }
        return [.. groups.OrderByDescending(group => group.Count)];
    }

    // Links by falling strength. What cut tiles share takes long to find and is at most what they share uncut: it is found when its turn comes, unless the two
    // hang together by then. Of links that may be alike those over long sides come first, where cuts seldom reach.
    private static IEnumerable<Link> Strongest(IReadOnlyList<TileRectangle> tiles, DisjointSets joined)
    {
        // Classes, not tuples: what the framework has no precompiled code for costs every start of the program.
        var waiting = new PriorityQueue<Link, Link>(Comparer<Link>.Create(Link.Order));
        foreach ((int a, int b) in new TilePairs(tiles).Pairs())
            Wait(a, b, TileRectangle.SharedUncut(tiles[a], tiles[b]), tiles[a].Cuts.Count + tiles[b].Cuts.Count == 0);
        while (waiting.TryDequeue(out Link? link, out _))
        {
            if (link.IsExact)
                yield return link;
            else if (joined.Root(link.A) != joined.Root(link.B))
                Wait(link.A, link.B, TileRectangle.SharedWindow(tiles[link.A], tiles[link.B]), isExact: true);
        }

        void Wait(int a, int b, double shared, bool isExact)
        {
            if (shared < -PlaneArea.Snap)
                return;
            var link = new Link(a, b, Math.Max(0, shared), (tiles[a].Centre - tiles[b].Centre).Length, isExact);
            waiting.Enqueue(link, link);
        }
    }

    private sealed record Link(int A, int B, double Shared, double Apart, bool IsExact)
    {
        public static int Order(Link one, Link other)
        {
            int order = Lengths.Down(other.Shared).CompareTo(Lengths.Down(one.Shared));
            order = order != 0 ? order : other.IsExact.CompareTo(one.IsExact);
            order = order != 0 || one.IsExact ? order : one.Apart.CompareTo(other.Apart);
            order = order != 0 ? order : one.A.CompareTo(other.A);
            return order != 0 ? order : one.B.CompareTo(other.B);
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
