using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Adapters;

/// <summary>A camera turn that a back offers, with the faults of this specimen.</summary>
/// <param name="Turn">The turn.</param>
/// <param name="Offset">
/// How far the sensor's centre lies from the carriage's own point when the body is turned so, mm on the image plane with the carriage unturned:
/// a fault of the specimen, or the design of a mount that holds the body off the axis about which it turns.
/// </param>
/// <param name="Error">What is wrong with the angle, degrees clockwise.</param>
public sealed record TurnSpec(Turn Turn, PlanePoint Offset = default, double Error = 0);

/// <summary>A way of seating the back on the camera.</summary>
/// <param name="BackTurned">Whether this is the seat of the turned-over back.</param>
/// <param name="Centre">The point about which turning over is a half turn, mm on the image plane.</param>
/// <param name="Angle">The seat's angle error, degrees clockwise.</param>
/// <param name="Tolerance">
/// How far the seat may miss its place, mm, on top of what the axes miss; in a direction in which no axis moves the sensor it stands alone. Null where it is not
/// known: the axes' tolerance then stands for it there.
/// </param>
public sealed record SeatSpec(bool BackTurned, PlanePoint Centre = default, double Angle = 0, double? Tolerance = null);

/// <summary>A back as it is in the kit: what an adapter geometry needs to know of this specimen.</summary>
public sealed record BackSpec
{
    /// <summary>Values of the geometry's own parameters.</summary>
    public ParameterValues Parameters { get; init; } = ParameterValues.None;

    /// <summary>The axes in the geometry's order.</summary>
    public IReadOnlyList<AxisSpec> Axes { get; init; } = [];

    /// <summary>The camera turns on offer; at least one.</summary>
    public IReadOnlyList<TurnSpec> Turns { get; init; } = [new(Turn.None)];

    /// <summary>The seats: upright, and turned over where the camera and the back allow it.</summary>
    public IReadOnlyList<SeatSpec> Seats { get; init; } = [new(false)];

    /// <summary>How far the sensor may be turned from where it should be, degrees; the play of a pivot is part of it.</summary>
    public double AngularTolerance { get; init; }

    /// <summary>Depth from the camera's film datum to the body's mount, mm, a range where the mount slides and is clamped, or null if not known.</summary>
    public LengthRange? DatumToMount { get; init; }

    /// <summary>Clear opening of the back, mm, or null if not known.</summary>
    public PlaneSize? Opening { get; init; }

    /// <summary>Checks what must hold of any specimen before its kinematics can be computed: number, kind and travel of the axes, detents, turns, seats, finite numbers.</summary>
    /// <param name="adapter">Name of the adapter geometry, for messages.</param>
    /// <param name="axes">The axes that it asks for, in order.</param>
    /// <exception cref="InputException">Something does not hold, with its place in the kit.</exception>
    public void Validate(string adapter, params IReadOnlyList<AxisNeed> axes) => SpecCheck.Validate(this, adapter, axes);
}
