using Imbrex.Sdk.Geometry;

namespace Imbrex.Sdk.Adapters;

/// <summary>What must hold of a specimen's data before its kinematics can be computed.</summary>
internal static class SpecCheck
{
    public static void Validate(BackSpec spec, string adapter, IReadOnlyList<AxisNeed> axes)
    {
        if (spec.Axes.Count != axes.Count)
        {
            throw new InputException($"The adapter '{adapter}' has {axes.Count} {(axes.Count == 1 ? "axis" : "axes")}, the kit gives {spec.Axes.Count}.",
                "back.axes", $"Give in this order: {string.Join(", ", axes.Select(axis => axis.Words))}.");
        }
        for (int i = 0; i < axes.Count; i++)
            Validate(spec.Axes[i], axes[i], $"back.axes[{i}]");
        if (spec.Turns.Count == 0)
            throw new InputException("The back offers no camera turn.", "back.turns", "Give at least one, such as { \"deg\": 0 }.");
        if (spec.Seats.Count == 0)
            throw new InputException("The back has no seat.", "back.seats", "Give at least one, such as { \"state\": \"upright\" }.");
        Once(spec.Turns.Select(turn => turn.Turn), "back.turns", turn => $"the turn of {turn.Degrees()} degrees");
        Once(spec.Seats.Select(seat => seat.BackTurned), "back.seats", turned => turned ? "the turned seat" : "the upright seat");
        foreach (TurnSpec turn in spec.Turns)
            Finite("back.turns", turn.Offset.X, turn.Offset.Y, turn.Error);
        foreach (SeatSpec seat in spec.Seats)
            Finite("back.seats", seat.Centre.X, seat.Centre.Y, seat.Angle);
        if (spec.Seats.Any(seat => seat.Tolerance is < 0 or double.NaN or double.PositiveInfinity))
            throw new InputException("The tolerance of a seat is negative or not finite.", "back.seats", "Give 0 or more.");
        Finite("back.angularToleranceDeg", spec.AngularTolerance);
        if (spec.DatumToMount is { } depth)
            Finite("back.datumToMountMm", depth.Least, depth.Most);
        if (spec.DatumToMount is { } range && range.Least > range.Most)
            throw new InputException("The depth of the mount ends before it begins.", "back.datumToMountMm", "Exchange the two.");
    }

    private static void Validate(AxisSpec axis, AxisNeed need, string where)
    {
        if (axis.IsPivot != need.IsPivot)
        {
            throw new InputException($"The axis is {need.Words}, and the kit gives it in {(axis.IsPivot ? "degrees" : "mm")}.", where,
                need.IsPivot ? "Give minDeg and maxDeg, with detentsDeg and scaleZeroDeg where there are any." : "Give minMm and maxMm, with detentsMm and scaleZeroMm where there are any.");
        }
        Finite(where, [axis.Minimum, axis.Maximum, axis.Tolerance, axis.Backlash, .. axis.Detents]);
        if (axis.Minimum > axis.Maximum)
            throw new InputException(FormattableString.Invariant($"The axis ends at {axis.Maximum} {Unit(axis)} before it begins at {axis.Minimum} {Unit(axis)}."), where, "Exchange the two.");
        if (axis.Tolerance < 0 || axis.Backlash < 0)
            throw new InputException("A tolerance or a backlash is negative.", where, "Give 0 or more.");
        foreach (double detent in axis.Detents)
        {
            if (detent < axis.Minimum || detent > axis.Maximum)
                throw new InputException(FormattableString.Invariant($"The detent at {detent} {Unit(axis)} lies outside the travel."), where, "Correct the detent or the travel.");
        }
    }

    private static string Unit(AxisSpec axis) => axis.IsPivot ? "degrees" : "mm";

    private static void Once<T>(IEnumerable<T> items, string where, Func<T, string> name)
    {
        if (items.GroupBy(item => item).FirstOrDefault(group => group.Count() > 1) is { } twice)
            throw new InputException($"The back has {name(twice.Key)} twice.", where, "Remove one of the two.");
    }

    private static void Finite(string where, params IReadOnlyList<double> numbers)
    {
        if (!numbers.All(double.IsFinite))
            throw new InputException("A number of the back is not finite.", where, "Give a number.");
    }
}
