using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Layouts;

/// <summary>What a host offers a layout that wants to know more than sizes while it arranges: the back itself, and the rules.</summary>
/// <remarks>Its answers are the same for the same request, so that a layout that uses it stays pure.</remarks>
public interface ILayoutGuide
{
    /// <summary>The back's kinematics, or null where only a sensor is known.</summary>
    IBack? Back { get; }

    /// <summary>Tries an arrangement by the rules of acceptance that tiles can meet or break: reach, coverage, overlap and joined, light through mount and back included, and clearance.</summary>
    /// <param name="tiles">What the layout might propose; at least one.</param>
    /// <exception cref="InputException">A tile's pose is not finite.</exception>
    LayoutTrial Try(IReadOnlyList<Tile> tiles);

    /// <summary>Tells the user something about the proposal, such as what is proven of it. Said with the verdict.</summary>
    /// <param name="text">One sentence.</param>
    void Note(string text);
}

/// <summary>What the rules say of an arrangement.</summary>
/// <param name="IsAccepted">Whether every rule holds.</param>
/// <param name="Overlap">Side of the largest window that lies wholly in one usable tile wherever in the format it stands, mm; 0 where the tiles do not cover the format.</param>
/// <param name="Handling">The work between exposures in the best order found; nothing where no back is known.</param>
public readonly record struct LayoutTrial(bool IsAccepted, double Overlap, MoveCost Handling);
