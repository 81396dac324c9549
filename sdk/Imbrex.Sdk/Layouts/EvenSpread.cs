namespace Imbrex.Sdk.Layouts;

/// <summary>
/// How tiles of one size fill a length: the arithmetic that layouts and the acceptance check share, so that what the one computes
/// the other accepts.
/// </summary>
public static class EvenSpread
{
    // A length that misses a whole number of steps by less than this is rounding, not a reason for one more tile.
    private const double Rounding = 1e-9;

    /// <summary>
    /// The fewest tiles that fill a length with the overlap everywhere: n = ceil((L - d) / (w - d)), and 1 where one tile is enough.
    /// </summary>
    /// <param name="length">The length L to fill, mm.</param>
    /// <param name="tile">The usable tile's side w along it, mm.</param>
    /// <param name="overlap">The overlap d, mm.</param>
    /// <returns>At least 1, or null where no number of tiles would do because the tile is no longer than the overlap.</returns>
    public static int? Count(double length, double tile, double overlap)
    {
        if (length <= tile)
            return 1;
        if (tile <= overlap)
            return null;
        double count = Math.Ceiling((length - overlap) / (tile - overlap) - Rounding);
        return count < int.MaxValue ? Math.Max(1, (int)count) : null;
    }

    /// <summary>The step that puts the outer edges of the outer tiles on the ends of the length, mm; 0 for a single tile.</summary>
    /// <param name="length">The length to fill, mm.</param>
    /// <param name="tile">The usable tile's side along it, mm.</param>
    /// <param name="count">Number of tiles, at least 1.</param>
    public static double Step(double length, double tile, int count) => count > 1 ? Math.Max(0, (length - tile) / (count - 1)) : 0;

    /// <summary>Evenly spaced positions with their middle on the axis, rising.</summary>
    /// <param name="count">Number of positions.</param>
    /// <param name="step">Distance between neighbours, mm.</param>
    public static IReadOnlyList<double> Centred(int count, double step)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(count);
        return Array.AsReadOnly([.. Enumerable.Range(0, count).Select(i => (i - (count - 1) / 2.0) * step)]);
    }
}
