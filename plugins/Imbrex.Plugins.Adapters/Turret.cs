using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters;

/// <summary>A body on an arm that swings about a pivot off the lens axis, the sensor turning with it.</summary>
public sealed class Turret : IAdapterGeometry
{
    private const string PivotX = "pivot-x";
    private const string PivotY = "pivot-y";
    private const string ArmX = "arm-x";
    private const string ArmY = "arm-y";

    // A shorter arm would hardly move the sensor, and leaves its direction to rounding. mm.
    private const double ShortestArm = 1;

    /// <inheritdoc/>
    public PartDescription Description { get; } = new(
        "turret",
        "An arm that swings the sensor about an off-axis pivot, the sensor turning with it, free or with detents",
        ParameterDefinition.Number(PivotX, "The pivot to the right of the seat's centre", 0, Unit.Millimetre, -500, 500),
        ParameterDefinition.Number(PivotY, "The pivot below the seat's centre, negative for above", 60, Unit.Millimetre, -500, 500),
        ParameterDefinition.Number(ArmX, "From the pivot to the sensor's centre with the arm at 0 degrees, to the right", 0, Unit.Millimetre, -500, 500),
        ParameterDefinition.Number(ArmY, "The same downwards, negative for above", -60, Unit.Millimetre, -500, 500));

    /// <inheritdoc/>
    public IBack Build(BackSpec spec)
    {
        ArgumentNullException.ThrowIfNull(spec);
        spec.Validate(Description.Name, new AxisNeed("the swing of the arm, degrees clockwise", IsPivot: true));
        ParameterValues given = spec.Parameters.Count == 0 ? ParameterValues.Bind(Description.Parameters, null) : spec.Parameters;
        PlanePoint pivot = new(given[PivotX], given[PivotY]), arm = new(given[ArmX], given[ArmY]);
        Validate(spec, arm);
        return new SeatedBack(spec, new SwingingCarriage(pivot, arm, AxisStops.Of(spec.Axes[0]), spec.Axes[0].Tolerance));
    }

    private static void Validate(BackSpec spec, PlanePoint arm)
    {
        double shortest = spec.Turns.Min(turn => (arm + turn.Offset).Length);
        if (shortest < ShortestArm)
        {
            throw new InputException(FormattableString.Invariant($"The arm is {shortest:0.###} mm long, the offset of the body's turn included."), "back.parameters",
                FormattableString.Invariant($"Give arm-x and arm-y from the pivot to the sensor's centre, together at least {ShortestArm} mm."));
        }
        AxisSpec axis = spec.Axes[0];
        if (axis.Maximum - axis.Minimum > 360)
            throw new InputException("The arm swings through more than a whole turn.", "back.axes[0]", "Give at most 360 degrees from minDeg to maxDeg.");
        double play = axis.Tolerance / shortest * (180 / Math.PI);
        if (play > spec.AngularTolerance + SeatedBack.Rounding)
        {
            throw new InputException(
                FormattableString.Invariant($"A miss of {axis.Tolerance:0.###} mm on an arm of {shortest:0.###} mm turns the sensor by {play:0.###} degrees, and angularToleranceDeg says {spec.AngularTolerance:0.###}."),
                "back.angularToleranceDeg", FormattableString.Invariant($"Give at least {Math.Ceiling(play * 1000) / 1000:0.###}, or a smaller toleranceMm for the arm."));
        }
    }
}
