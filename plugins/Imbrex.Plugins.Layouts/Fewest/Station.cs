using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>One way in which the body stands on the back, with the places it reaches so.</summary>
/// <param name="Turn">Final turn of the body.</param>
/// <param name="Held">What a tile holds of the middles of windows: the usable tile less the overlap, as it lies at this turn, mm.</param>
/// <param name="X">Where the tile's middle may lie across.</param>
/// <param name="Y">Where it may lie down.</param>
/// <param name="IsWhole">Whether that is all a tile holds: of one that stands a little askew it is less.</param>
internal sealed record Station(Turn Turn, PlaneSize Held, Reach X, Reach Y, bool IsWhole = true);
