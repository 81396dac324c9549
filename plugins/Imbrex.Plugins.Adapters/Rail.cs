using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters;

/// <summary>A body on one rail along x. The rail lies off the seat's centre, so a back that can be turned over has a second row.</summary>
public sealed class Rail : IAdapterGeometry
{
    private const string RowOffset = "row-offset";

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "rail",
        "One slide across at a fixed height; a second row by turning the back over",
        ParameterDefinition.Number(RowOffset, "How far below the seat's centre the rail lies, negative for above", 0, Unit.Millimetre, -500, 500));

    /// <inheritdoc/>
    public IBack Build(BackSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.Validate(Description.Name, new AxisNeed("the travel along x"));
        double rowOffset = spec.Parameters.Count == 0 ? 0 : spec.Parameters[RowOffset];
        return new SeatedBack(spec, new SlidingCarriage(Slide.Along(spec.Axes[0], "x"), Slide.Fixed(rowOffset, "y"), new(spec.Axes[0].Tolerance, null)));
    }
}
