using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Clearance;

/// <summary>A piece of a way from one setting to the next: one axis goes, or the body is turned.</summary>
/// <param name="From">The setting at its beginning.</param>
/// <param name="To">The setting at its end.</param>
/// <param name="Axis">The axis that goes, or null where the body is turned.</param>
/// <param name="LongWay">Whether the body is turned the longer way round.</param>
internal sealed record Leg(Setting From, Setting To, int? Axis, bool LongWay = false)
{
    /// <summary>The motions of a part.</summary>
    public IReadOnlyList<PlaneMotion> Motions(Stance stance, Holder holder)
    {
        if (Axis is { } axis)
            return stance.Along(holder, From, To, axis);
        PlaneMotion turn = PlaneMotion.Between(stance.At(holder, From), stance.At(holder, To));
        return holder == Holder.Body ? [LongWay ? turn.OtherWay ?? turn : turn] : [];
    }
}

/// <summary>One of the ways to go from one setting to the next.</summary>
/// <param name="Legs">Its pieces in order.</param>
/// <param name="TurnsLast">Whether the body is turned after the slides were set, and not before as the card says.</param>
/// <param name="LongWay">Whether it is turned the longer way round.</param>
internal sealed record Way(IReadOnlyList<Leg> Legs, bool TurnsLast, bool LongWay)
{
    // Settings nearer than this are the same, mm or degrees.
    private const double Same = 1e-9;

    /// <summary>All ways between two settings of one seat, the usual one first: turn the body where it stands, the shorter way, then set the axes in their order.</summary>
    public static IEnumerable<Way> Between(Setting from, Setting to)
    {
        int[] axes = [.. Enumerable.Range(0, from.Positions.Count).Where(axis => Math.Abs(from.Positions[axis] - to.Positions[axis]) > Same)];
        bool turns = from.CameraTurn != to.CameraTurn;
        foreach (bool longWay in turns ? new[] { false, true } : [false])
        {
            foreach (bool last in turns && axes.Length > 0 ? new[] { false, true } : [false])
            {
                foreach (IReadOnlyList<int> order in Orders(axes))
                    yield return new([.. Follow(from, to, order, last, longWay)], last, longWay);
            }
        }
    }

    private static IEnumerable<Leg> Follow(Setting from, Setting to, IReadOnlyList<int> order, bool turnsLast, bool longWay)
    {
        Setting at = from;
        Turn? first = turnsLast ? null : to.CameraTurn, last = turnsLast ? to.CameraTurn : null;
        foreach (Leg leg in Turned(first))
            yield return leg;
        foreach (int axis in order)
        {
            Setting next = Stance.With(at, axis, to.Positions[axis]);
            yield return new(at, next, axis);
            at = next;
        }
        foreach (Leg leg in Turned(last))
            yield return leg;

        IEnumerable<Leg> Turned(Turn? turn)
        {
            if (turn is not { } there || there == at.CameraTurn)
                yield break;
            Setting next = at with { CameraTurn = there };
            yield return new(at, next, null, longWay);
            at = next;
        }
    }

    // Each axis in turn, in their own order first and then backwards: with two axes these are all.
    private static IEnumerable<IReadOnlyList<int>> Orders(int[] axes)
    {
        yield return axes;
        if (axes.Length > 1)
            yield return [.. axes.Reverse()];
    }
}
