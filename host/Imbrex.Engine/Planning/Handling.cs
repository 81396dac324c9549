using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>The work between exposures, what counts most first: turns of the back, of the camera, settings and moves that collide, stops overrun and come back to, travel.
/// Between runs, when something is turned, the slide is free to be set anew; only overshoots within a run count.</summary>
internal readonly record struct Handling(int BackTurns, int CameraTurns, int Collisions, int Overshoots, double Travel) : IComparable<Handling>
{
    // Sums of the same moves in another order differ by rounding; that is no less travel.
    private const double Rounding = 1e-9;

    public static Handling operator +(Handling a, Handling b) =>
        new(a.BackTurns + b.BackTurns, a.CameraTurns + b.CameraTurns, a.Collisions + b.Collisions, a.Overshoots + b.Overshoots, a.Travel + b.Travel);

    /// <summary>The axes that come to a stop from the side that their play forbids, so that they must be run past it and brought back.</summary>
    public static IEnumerable<int> WrongSides(IBack back, Setting from, Setting to) => Enumerable.Range(0, back.Axes.Count).Where(i =>
    {
        AxisSpec axis = back.Axes[i];
        double move = to.Positions[i] - from.Positions[i];
        return axis.Backlash > 0 && ((axis.Approach == Approach.Rising && move < 0) || (axis.Approach == Approach.Falling && move > 0));
    });

    public int CompareTo(Handling other)
    {
        int whole = (BackTurns, CameraTurns, Collisions, Overshoots).CompareTo((other.BackTurns, other.CameraTurns, other.Collisions, other.Overshoots));
        double less = Travel - other.Travel;
        return whole != 0 ? whole : Math.Abs(less) <= Rounding * Math.Max(1, Math.Abs(Travel)) ? 0 : Math.Sign(less);
    }

    public static bool operator <(Handling a, Handling b) => a.CompareTo(b) < 0;

    public static bool operator >(Handling a, Handling b) => a.CompareTo(b) > 0;
}
