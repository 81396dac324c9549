using Fixtures.Library;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>Two tiles side by side. Its summary tells which edition of the library it was given.</summary>
public sealed class PairLayout : IMosaicLayout
{
    public PartDescription Description { get; } = new("pair", $"Two tiles side by side ({Edition.Name} edition)",
        ParameterDefinition.Number("step", "Distance of the two", 27, Unit.Millimetre, 1, 36));

    public IReadOnlyList<Tile> Arrange(LayoutRequest request)
    {
        double half = request.Parameters["step"] / 2;
        return [new(new(new(-half, 0))), new(new(new(half, 0)))];
    }
}
