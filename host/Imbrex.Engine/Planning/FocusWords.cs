namespace Imbrex.Engine.Planning;

/// <summary>Distances in the scene and times in words.</summary>
public static class FocusWords
{
    /// <summary>A distance in mm: <c>450.5 mm</c>, <c>5.204 m</c>, <c>25.21 m</c> or <c>infinity</c>.</summary>
    public static string Distance(double mm) => double.IsPositiveInfinity(mm) ? "infinity" : mm switch
    {
        < 1000 => FormattableString.Invariant($"{mm:0.#} mm"),
        < 10_000 => FormattableString.Invariant($"{mm / 1000:0.###} m"),
        _ => FormattableString.Invariant($"{mm / 1000:0.##} m"),
    };

    /// <summary>The same, rounded down: what is said to be the farthest is in reach.</summary>
    public static string Farthest(double mm) => Distance(Math.Floor(mm / Step(mm)) * Step(mm));

    /// <summary>The same, rounded up: what is said to be the nearest is in reach.</summary>
    public static string Nearest(double mm) => Distance(Math.Ceiling(mm / Step(mm)) * Step(mm));

    // A resolution that the words keep.
    private static double Step(double mm) => mm < 9000 ? 1 : 10;

    /// <summary>Seconds: <c>1/15 s</c>, <c>18 s</c>, <c>4.5 min</c> or <c>2.1 h</c>.</summary>
    public static string Time(double seconds) => seconds switch
    {
        <= 0 => "0 s",
        < 0.35 => FormattableString.Invariant($"1/{1 / seconds:0} s"),
        < 90 => FormattableString.Invariant($"{seconds:0.#} s"),
        < 5400 => FormattableString.Invariant($"{seconds / 60:0.#} min"),
        _ => FormattableString.Invariant($"{seconds / 3600:0.#} h"),
    };
}
