using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Layouts;

/// <summary>Arranges tiles so that together they fill a format. Pure: the same request gives the same tiles.</summary>
/// <remarks>
/// Implementations have a public constructor without parameters and keep no state. What they return is a proposal: the host
/// proves reach, coverage and overlap before it is accepted.
/// </remarks>
public interface IMosaicLayout
{
    /// <summary>Name, summary and parameters.</summary>
    PartDescription Description { get; }

    /// <summary>Places the tiles.</summary>
    /// <param name="request">Sensor, format, overlap, the back's limits and the parameter values.</param>
    /// <returns>At least one tile, in any order.</returns>
    /// <exception cref="RefusalException">The layout cannot serve this request, with the number that fails.</exception>
    IReadOnlyList<Tile> Arrange(LayoutRequest request);
}
