using CsCheck;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>Random backs, faults included, with a legal setting of each.</summary>
internal static class BackGenerator
{
    private static readonly Gen<PlanePoint> Fault = Gen.Select(Gen.Double[-0.5, 0.5], Gen.Double[-0.5, 0.5], (x, y) => new PlanePoint(x, y));
    private static readonly Gen<double> Askew = Gen.Double[-0.4, 0.4];

    private static readonly Gen<AxisSpec> Axis =
        from minimum in Gen.Double[-60, 0]
        from length in Gen.Double[0.5, 100]
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
        from offsets in Fault.Array[4]
        from errors in Askew.Array[4]
        select (TurnSpec[])[.. Turns.All.Select((turn, i) => new TurnSpec(turn, offsets[i], errors[i])).Where((_, i) => (mask & 1 << i) != 0)];

    private static readonly Gen<SeatSpec[]> SomeSeats =
        from which in Gen.Int[1, 3]
        from centres in Fault.Array[2]
        from angles in Askew.Array[2]
        select (SeatSpec[])[.. new[] { new SeatSpec(false, centres[0], angles[0]), new SeatSpec(true, centres[1], angles[1]) }.Where((_, i) => (which & 1 << i) != 0)];

    public static Gen<(IBack Back, BackSpec Spec, Setting Setting)> Any(IAdapterGeometry geometry, int axes) =>
        from specs in Axis.Array[axes]
        from turns in SomeTurns
        from seats in SomeSeats
        from row in Gen.Double[-20, 20]
        from parts in Gen.Double[0, 1].Array[axes]
        from turn in Gen.Int[0, turns.Length - 1]
        from seat in Gen.Int[0, seats.Length - 1]
        let spec = new BackSpec { Axes = specs, Turns = turns, Seats = seats, Parameters = Parameters(geometry, row) }
        select (geometry.Build(spec), spec, new Setting([.. specs.Zip(parts, Position)], turns[turn].Turn, seats[seat].BackTurned));

    private static double Position(AxisSpec axis, double part) => axis.Detents.Count == 0
        ? Math.Clamp(axis.Minimum + part * (axis.Maximum - axis.Minimum), axis.Minimum, axis.Maximum)
        : axis.Detents[Math.Min(axis.Detents.Count - 1, (int)(part * axis.Detents.Count))];

    private static ParameterValues Parameters(IAdapterGeometry geometry, double row)
    {
        ParameterDefinition? offset = geometry.Description.Parameters.SingleOrDefault();
        return ParameterValues.Bind(geometry.Description.Parameters, offset is null
            ? null
            : new Dictionary<string, string> { [offset.Name] = offset.Format(row) });
    }
}
