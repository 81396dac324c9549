namespace Imbrex.Engine.Planning;

/// <summary>Distances in the scene and times in words.</summary>
public static class FocusWords
{
    /// <summary>A distance in mm: <c>450 mm</c>, <c>5.2 m</c> or <c>infinity</c>.</summary>
    public static string Distance(double mm) => double.IsPositiveInfinity(mm) ? "infinity"
        : mm >= 1000 ? FormattableString.Invariant($"{mm / 1000:0.##} m") : FormattableString.Invariant($"{mm:0.#} mm");

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
