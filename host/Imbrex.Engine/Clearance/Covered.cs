using Imbrex.Engine.Planning;
using NetTopologySuite.Geometries;

namespace Imbrex.Engine.Clearance;

/// <summary>What a part covers where it stands, or while it moves: pieces that are cheap to ask, and the whole where it is wanted.</summary>
internal sealed class Covered(IReadOnlyList<Polygon> pieces)
{
    private readonly Lazy<Geometry> _whole = new(() => PlaneArea.Union(pieces));

    public IReadOnlyList<Polygon> Pieces => pieces;

    public Geometry Whole => _whole.Value;
}
