using Imbrex.Sdk.Layouts;

namespace Imbrex.Plugins.Layouts;

/// <summary>Evenly spaced tiles along one direction.</summary>
/// <param name="Count">How many.</param>
/// <param name="Step">Distance between neighbours, mm.</param>
internal readonly record struct Line(int Count, double Step)
{
    // As LayoutScript.MaximumTiles: more is a slip of the finger.
    private const int MostTiles = 10_000;

    public IReadOnlyList<double> Positions => EvenSpread.Centred(Count, Step);

    /// <summary>Fills a length; a count or step of 0 is computed so that the outer tiles reach its ends and neighbours share the overlap.</summary>
    /// <param name="length">The length, mm.</param>
    /// <param name="tile">The usable tile's side along it, mm.</param>
    /// <param name="overlap">The overlap asked for, mm.</param>
    /// <param name="count">The count asked for, or 0.</param>
    /// <param name="step">The step asked for, mm, or 0.</param>
    /// <param name="along">The direction in words: <c>across</c> or <c>down</c>.</param>
    public static Line Fill(double length, double tile, double overlap, int count, double step, string along)
    {
        if (tile <= 0)
            throw Refused.NothingUsable(tile);
        if (count > 0)
            return new(count, step > 0 ? step : EvenSpread.Step(length, tile, count));
        int? computed = step > 0 ? WithStep(length, tile, overlap, step, along) : EvenSpread.Count(length, tile, overlap);
        return computed switch
        {
            null => throw Refused.TileTooShort(tile, overlap, along),
            > MostTiles => throw Refused.TooMany(computed.Value, along),
            { } n => new(n, step > 0 ? step : EvenSpread.Step(length, tile, n)),
        };
    }

    private static int? WithStep(double length, double tile, double overlap, double step, string along)
    {
        if (length <= tile)
            return 1;
        if (tile <= overlap)
            return null;
        if (step > tile - overlap + 1e-9)
            throw Refused.StepTooLong(step, tile - overlap, along);
        return (int)Math.Min(int.MaxValue, Math.Ceiling((length - tile) / step - 1e-9) + 1);
    }
}
