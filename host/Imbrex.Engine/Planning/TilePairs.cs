using NetTopologySuite.Geometries;
using NetTopologySuite.Index.Strtree;

namespace Imbrex.Engine.Planning;

/// <summary>Finds tiles that lie near each other or near a place, by a tree of their boxes.</summary>
internal sealed class TilePairs
{
    private readonly IReadOnlyList<TileRectangle> _tiles;
    private readonly STRtree<int> _index = new();

    public TilePairs(IReadOnlyList<TileRectangle> tiles)
    {
        _tiles = tiles;
        for (int i = 0; i < tiles.Count; i++)
            _index.Insert(Box(tiles[i]), i);
        _index.Build();
    }

    /// <summary>Pairs whose boxes meet, each once, the earlier tile first.</summary>
    public IEnumerable<(int A, int B)> Pairs()
    {
        for (int a = 0; a < _tiles.Count; a++)
        {
            foreach (int b in _index.Query(Box(_tiles[a])))
            {
                if (b > a)
                    yield return (a, b);
            }
        }
    }

    /// <summary>Tiles whose boxes meet a box, in their order.</summary>
    public IEnumerable<int> Meeting(Envelope box) => _index.Query(box).Order();

    private static Envelope Box(TileRectangle tile)
    {
        (double left, double top, double right, double bottom) = tile.Box();
        // Tiles that touch share a window of size 0, though rounding may leave a gap between them.
        return new(left - PlaneArea.Snap, right + PlaneArea.Snap, top - PlaneArea.Snap, bottom + PlaneArea.Snap);
    }
}
