using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Not public, so no part of the plugin.</summary>
internal sealed class HiddenLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("hidden", "Not public");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}
