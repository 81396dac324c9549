using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters;

/// <summary>A body on two slides, one across and one up and down.</summary>
public sealed class CrossSlide : IAdapterGeometry
{
    /// <inheritdoc/>
    public PartDescription Description { get; } = new("cross-slide", "Two slides, across and up and down, each free or with detents");

    /// <inheritdoc/>
    public IBack Build(BackSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.Validate(Description.Name, new AxisNeed("the travel along x"), new AxisNeed("the travel along y"));
        return new SeatedBack(spec, new SlidingCarriage(Slide.Along(spec.Axes[0], "x"), Slide.Along(spec.Axes[1], "y"), new(spec.Axes[0].Tolerance, spec.Axes[1].Tolerance)));
    }
}
