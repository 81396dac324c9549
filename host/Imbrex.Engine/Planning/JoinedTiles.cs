using NetTopologySuite.Geometries;
using NetTopologySuite.Index.Strtree;

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
        var strongest = Links(tiles).OrderByDescending(link => link.Shared).ThenBy(link => (link.A, link.B));
        var all = new DisjointSets(tiles.Count);
        var firm = new DisjointSets(tiles.Count);
        LinkPart? weakest = null;
        int joints = 0;
        foreach ((int a, int b, double shared) in strongest)
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

    private static IEnumerable<(int A, int B, double Shared)> Links(IReadOnlyList<TileRectangle> tiles)
    {
        var index = new STRtree<int>();
        for (int i = 0; i < tiles.Count; i++)
            index.Insert(Box(tiles[i]), i);
        for (int a = 0; a < tiles.Count; a++)
        {
            foreach (int b in index.Query(Box(tiles[a])))
            {
                if (b > a && TileRectangle.SharedWindow(tiles[a], tiles[b]) is >= -PlaneArea.Snap and var shared)
                    yield return (a, b, Math.Max(0, shared));
            }
        }
    }

    private static Envelope Box(TileRectangle tile)
    {
        (double left, double top, double right, double bottom) = tile.Box();
        // Tiles that touch share a window of size 0, though rounding may leave a gap between them.
        return new(left - PlaneArea.Snap, right + PlaneArea.Snap, top - PlaneArea.Snap, bottom + PlaneArea.Snap);
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
