using CsCheck;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>Random backs, faults included, with a legal setting of each.</summary>
internal static class BackGenerator
{
    private static readonly Gen<PlanePoint> Fault = Gen.Select(Gen.Double[-0.5, 0.5], Gen.Double[-0.5, 0.5], (x, y) => new PlanePoint(x, y));

    // Every other body sits off the axis about which it turns.
    private static readonly Gen<PlanePoint> Offset = Gen.OneOf(Fault, Gen.Select(Gen.Double[-9, 9], Gen.Double[-9, 9], (x, y) => new PlanePoint(x, y)));
    private static readonly Gen<double> Askew = Gen.Double[-0.4, 0.4];

    private static readonly Gen<AxisSpec> Slide = Axis(-60, 100);

    // Up to a whole turn, anywhere on the circle.
    private static readonly Gen<AxisSpec> Pivot = Axis(-360, 360).Select(axis => axis with { IsPivot = true });

    public static Gen<AxisSpec> Axis(double smallest, double longest) =>
        from minimum in Gen.Double[smallest, 0]
        from length in Gen.Double[0.5, longest]
        from stops in Gen.Double[0, 1].Array[0, 6]
        from tolerance in Gen.Double[0, 0.3]
        select new AxisSpec
        {
            Minimum = minimum,
            Maximum = minimum + length,
            Detents = [.. stops.Distinct().Select(part => Math.Clamp(minimum + part * length, minimum, minimum + length)).Order()],
            Tolerance = tolerance,
        };

    private static readonly Gen<TurnSpec[]> SomeTurns =
        from mask in Gen.Int[1, 15]
        from offsets in Offset.Array[4]
        from errors in Askew.Array[4]
        select (TurnSpec[])[.. Turns.All.Select((turn, i) => new TurnSpec(turn, offsets[i], errors[i])).Where((_, i) => (mask & 1 << i) != 0)];

    private static readonly Gen<SeatSpec[]> SomeSeats =
        from which in Gen.Int[1, 3]
        from centres in Fault.Array[2]
        from angles in Askew.Array[2]
        select (SeatSpec[])[.. new[] { new SeatSpec(false, centres[0], angles[0]), new SeatSpec(true, centres[1], angles[1]) }.Where((_, i) => (which & 1 << i) != 0)];

    public static Gen<(IBack Back, BackSpec Spec, Setting Setting)> Any(string adapter) => adapter switch
    {
        "rail" => Any(new Rail(), Gen.Double[-20, 20].Select(row => Values(("row-offset", row))), Slide),
        "cross-slide" => Any(new CrossSlide(), Gen.Const(Values()), Slide, Slide),
        "double-rail" => Any(new DoubleRail(), Gen.Const(Values()), Slide, Heights),
        "turret" => Any(new Turret(), Arm, Pivot),
        _ => throw new ArgumentOutOfRangeException(nameof(adapter), adapter, null),
    };

    private static readonly Gen<AxisSpec> Heights = Gen.Select(Gen.Double[-20, -1], Gen.Double[1, 20], (upper, lower) =>
        new AxisSpec { Minimum = upper, Maximum = lower, Detents = [upper, lower], Tolerance = 0.1 });

    // Longer than any offset, so that there is an arm left.
    private static readonly Gen<Dictionary<string, string>> Arm =
        from pivotX in Gen.Double[-80, 80]
        from pivotY in Gen.Double[-80, 80]
        from length in Gen.Double[15, 90]
        from way in Gen.Double[0, 360]
        let arm = new PlanePoint(length, 0).Rotated(way)
        select Values(("pivot-x", pivotX), ("pivot-y", pivotY), ("arm-x", arm.X), ("arm-y", arm.Y));

    public static Gen<(IBack Back, BackSpec Spec, Setting Setting)> Any(IAdapterGeometry geometry, Gen<Dictionary<string, string>> values, params Gen<AxisSpec>[] axes) =>
        from specs in axes.Aggregate(Gen.Const(Array.Empty<AxisSpec>()), (before, axis) => before.SelectMany(list => axis, (list, one) => (AxisSpec[])[.. list, one]))
        from turns in SomeTurns
        from seats in SomeSeats
        from parameters in values
        from parts in Gen.Double[0, 1].Array[axes.Length]
        from turn in Gen.Int[0, turns.Length - 1]
        from seat in Gen.Int[0, seats.Length - 1]
        let spec = new BackSpec { Axes = specs, Turns = turns, Seats = seats, AngularTolerance = 5, Parameters = ParameterValues.Bind(geometry.Description.Parameters, parameters) }
        select (geometry.Build(spec), spec, new Setting([.. specs.Zip(parts, Position)], turns[turn].Turn, seats[seat].BackTurned));

    private static double Position(AxisSpec axis, double part) => axis.Detents.Count == 0
        ? Math.Clamp(axis.Minimum + part * (axis.Maximum - axis.Minimum), axis.Minimum, axis.Maximum)
        : axis.Detents[Math.Min(axis.Detents.Count - 1, (int)(part * axis.Detents.Count))];

    public static Dictionary<string, string> Values(params (string Name, double Value)[] values) =>
        values.ToDictionary(pair => pair.Name, pair => pair.Value.ToString("R", System.Globalization.CultureInfo.InvariantCulture));
}
