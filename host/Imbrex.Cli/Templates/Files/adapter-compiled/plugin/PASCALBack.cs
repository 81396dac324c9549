using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace PASCALParts;

/// <summary>A back whose rail runs at a slope, on a post that lifts it.</summary>
/// <remarks>The host finds public classes that implement IAdapterGeometry and have a constructor without parameters. A geometry keeps no state, and the backs that it builds are immutable.</remarks>
public sealed class PASCALBack : IAdapterGeometry
{
    private static readonly AxisNeed[] Axes = [new("the rail"), new("the post")];

    /// <summary>Help, validation and the tests all read this declaration.</summary>
    public PartDescription Description { get; } = new("NAME", "A rail that runs at a slope, on a post that lifts it",
        ParameterDefinition.Number("slope", "How far the rail falls towards the photographer's right", 10, Unit.Degree, -60, 60));

    /// <summary>Checks a specimen and makes its kinematics. Seats, turns of the body and their faults are the same for all backs: SeatedBack knows them.</summary>
    public IBack Build(BackSpec spec)
    {
        // Axes that are missing or end before they begin, and everything else that makes no sense of any back.
        spec.Validate(Description.Name, Axes);
        ParameterValues given = spec.Parameters.Count == 0 ? ParameterValues.Bind(Description.Parameters) : spec.Parameters;
        (double sin, double cos) = Angles.SinCosDegrees(given["slope"]);

        // Forward: where the carriage stands. Backward: which positions bring it there; a guess would do, the SDK makes it exact and minds travel and stops.
        return new SeatedBack(spec, new NumericalCarriage(spec, Axes,
            place: p => new(p[0] * cos, p[0] * sin + p[1]),
            inverse: at => [at.X / cos, at.Y - at.X / cos * sin]));
    }
}
