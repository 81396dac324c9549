using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>Finds covers for one request at any overlap.</summary>
internal interface IDesigner
{
    /// <summary>The fewest tiles for an overlap.</summary>
    /// <exception cref="RefusalException">The back reaches no cover, or one of far too many tiles.</exception>
    Design Find(double overlap);

    /// <summary>A cover of no more tiles at an overlap, or null where a short search finds none.</summary>
    IReadOnlyList<Tile>? Cover(double overlap, int most);
}

/// <summary>A design, and what is known of it.</summary>
/// <param name="Arrangements">Ways to lay as many tiles, at least one.</param>
/// <param name="IsFewest">Whether no fewer tiles can do.</param>
/// <param name="AtLeast">No layout has fewer tiles than this.</param>
internal sealed record Design(IReadOnlyList<IReadOnlyList<Tile>> Arrangements, bool IsFewest, int AtLeast)
{
    public int Frames => Arrangements[0].Count;
}
