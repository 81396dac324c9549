using Fixtures.Library;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>One tile. Its summary tells which edition of the library it was given.</summary>
public sealed class SingleLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("single", $"One tile ({Edition.Name} edition)");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}

/// <summary>Bears a name that another plugin has taken.</summary>
public sealed class OtherPairLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("pair", "Two tiles again");

    public IReadOnlyList<Tile> Arrange(LayoutRequest request) => [new(default)];
}
