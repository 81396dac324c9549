using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters;

/// <summary>A body on one of two level rails, which may have different travel.</summary>
public sealed class DoubleRail : IAdapterGeometry
{
    // Beyond any axis: the whole travel unless the kit says less.
    private const double Anywhere = 1000;

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "double-rail",
        "Two level rails at fixed heights, each with its own travel; the body goes on the one or the other",
        Travel("upper-from", "Where the travel on the upper rail begins", -Anywhere),
        Travel("upper-to", "Where it ends", Anywhere),
        Travel("lower-from", "Where the travel on the lower rail begins", -Anywhere),
        Travel("lower-to", "Where it ends", Anywhere));

    /// <inheritdoc/>
    public IBack Build(BackSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.Validate(Description.Name, new AxisNeed("the travel along x"), new AxisNeed("the rails' heights as two detents"));
        if (spec.Axes[1].Detents.Count != 2)
            throw new InputException($"The second axis of the adapter '{Description.Name}' has {spec.Axes[1].Detents.Count} detents.", "back.axes[1]", "Give the heights of the two rails as detentsMm, the upper one (the smaller number) first.");
        double[] heights = [.. spec.Axes[1].Detents.Order()];
        return new SeatedBack(spec, new RailsCarriage(Rail(spec, "upper", heights[0]), Rail(spec, "lower", heights[1]), new(spec.Axes[0].Tolerance, spec.Axes[1].Tolerance)));
    }

    private static ParameterDefinition Travel(string name, string summary, double end) =>
        ParameterDefinition.Number(name, summary, end, Unit.Millimetre, -Anywhere, Anywhere);

    private static OneRail Rail(BackSpec spec, string name, double height)
    {
        (double from, double to) = spec.Parameters.Count == 0 ? (-Anywhere, Anywhere) : (spec.Parameters[name + "-from"], spec.Parameters[name + "-to"]);
        AxisStops stops = AxisStops.Of(spec.Axes[0]).Within(from, to)
            ?? throw new InputException(FormattableString.Invariant($"No stop of the travel lies on the {name} rail from {from} to {to} mm."), "back.parameters", $"Correct {name}-from and {name}-to, or the first axis.");
        return new($"the {name} rail", height, new(stops, $"x on the {name} rail"));
    }
}
