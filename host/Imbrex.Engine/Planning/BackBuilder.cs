using System.Text.Json;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Engine.Planning;

/// <summary>A kit's back made concrete.</summary>
/// <param name="Back">Its kinematics.</param>
/// <param name="Notes">What had to be assumed, in words.</param>
public sealed record BuiltBack(IBack Back, IReadOnlyList<string> Notes);

/// <summary>Turns a kit's JSON into a specimen and lets the adapter geometry make its kinematics.</summary>
public static class BackBuilder
{
    /// <summary>Builds the back of a kit.</summary>
    /// <param name="kit">A validated kit.</param>
    /// <param name="geometry">The adapter geometry that the kit names.</param>
    /// <exception cref="InputException">A value makes no sense for this geometry, or no seat is left that the camera can use.</exception>
    public static BuiltBack Build(KitDocument kit, IAdapterGeometry geometry)
    {
        ArgumentNullException.ThrowIfNull(kit);
        ArgumentNullException.ThrowIfNull(geometry);
        BackPart part = kit.Back;
        var spec = new BackSpec
        {
            Parameters = ParameterValues.Bind(geometry.Description.Parameters, Text(part.Parameters)),
            Axes = [.. (part.Axes ?? []).Select(Axis)],
            Turns = part.Turns is { Count: > 0 } turns ? [.. turns.Select(TurnOf)] : [new(Turn.None)],
            Seats = part.Seats is { Count: > 0 } seats ? [.. seats.Select(Seat)] : DefaultSeats(kit.Camera),
            AngularTolerance = part.AngularToleranceDeg ?? Margins.Unknown.Angle,
            DatumToMount = part.DatumToMountMm?.ToRange(),
            Opening = part.OpeningMm is [double width, double height] ? new(width, height) : null,
        };
        return new(Restricted(kit, geometry, spec), [.. Assumptions(part)]);
    }

    // A camera that cannot turn its back over leaves the upright seat only; the whole back is kept to say what turning would have given.
    private static IBack Restricted(KitDocument kit, IAdapterGeometry geometry, BackSpec spec)
    {
        IBack whole = geometry.Build(spec);
        SeatSpec[] upright = [.. spec.Seats.Where(seat => !seat.BackTurned)];
        if (kit.Camera?.BackTurns is not false || upright.Length == spec.Seats.Count)
            return whole;
        if (upright.Length == 0)
            throw new InputException("The back has a turned seat only, and this camera cannot turn its back over.", "back.seats", "Add the upright seat, or correct camera.backTurns.");
        return new UnturnableBack(geometry.Build(spec with { Seats = upright }), whole);
    }

    private static IReadOnlyList<SeatSpec> DefaultSeats(CameraPart? camera) => camera?.BackTurns is true ? [new(false), new(true)] : [new(false)];

    private static AxisSpec Axis(AxisPart part) => new()
    {
        Name = part.Name,
        IsPivot = part.IsPivot,
        Minimum = part.Minimum,
        Maximum = part.Maximum,
        Detents = part.Detents,
        ScaleZero = part.ScaleZero,
        ScaleSign = part.ScaleSign ?? 1,
        Tolerance = part.ToleranceMm ?? Margins.Unknown.Position.Worst,
        Backlash = part.BacklashMm ?? 0,
        Approach = part.Approach switch
        {
            "rising" => Approach.Rising,
            "falling" => Approach.Falling,
            null when part.BacklashMm > 0 => Approach.Rising,
            _ => Approach.Any,
        },
    };

    private static TurnSpec TurnOf(TurnPart part) => new(Turns.FromDegrees(part.Deg), Point(part.OffsetMm), part.ErrorDeg ?? 0);

    private static SeatSpec Seat(SeatPart part) => new(part.State == "turned", Point(part.CentreMm), part.AngleDeg ?? 0, part.ToleranceMm);

    private static PlanePoint Point(IReadOnlyList<double>? point) => point is [double x, double y] ? new(x, y) : PlanePoint.Origin;

    private static Dictionary<string, string> Text(IReadOnlyDictionary<string, JsonElement>? parameters) =>
        (parameters ?? new Dictionary<string, JsonElement>()).ToDictionary(pair => pair.Key, pair => pair.Value.ValueKind switch
        {
            JsonValueKind.String => pair.Value.GetString()!,
            JsonValueKind.True => "yes",
            JsonValueKind.False => "no",
            _ => pair.Value.GetRawText(),
        });

    private static IEnumerable<string> Assumptions(BackPart part)
    {
        if (part.Axes?.Any(axis => axis.ToleranceMm is null) is true)
            yield return FormattableString.Invariant($"The kit does not say how far each axis may miss (toleranceMm); {Margins.Unknown.Position.Worst} mm is assumed.");
        if (part.AngularToleranceDeg is null)
            yield return FormattableString.Invariant($"The kit does not say how far the sensor may be turned (angularToleranceDeg); {Margins.Unknown.Angle} degrees is assumed.");
    }
}
