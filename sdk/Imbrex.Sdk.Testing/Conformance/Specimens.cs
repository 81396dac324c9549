using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Specimens of a kind of back, made from one that an author gives: good ones with all kinds of faults, and ones that make no sense.</summary>
internal static class Specimens
{
    /// <summary>The specimen as it is for every legal combination of parameters, then with detents, turns, seats and faults drawn anew.</summary>
    public static IEnumerable<BackSpec> Legal(BackSpec given, PartDescription description, int drawn, int seed)
    {
        var random = new Random(seed);
        yield return given;
        foreach (ParameterValues values in LegalValues.Of(description.Parameters, drawn / 4, seed))
            yield return given with { Parameters = values };
        for (int i = 0; i < drawn; i++)
            yield return Drawn(given, random);
    }

    /// <summary>Specimens that no geometry can accept, with what is wrong with each.</summary>
    public static IEnumerable<(string Wrong, BackSpec Spec)> Bad(BackSpec given)
    {
        yield return ("one axis too many", given with { Axes = [.. given.Axes, new() { Minimum = -1, Maximum = 1 }] });
        if (given.Axes.Count == 0)
            yield break;
        yield return ("an axis is missing", given with { Axes = [.. given.Axes.SkipLast(1)] });
        yield return ("an axis that begins nowhere (NaN)", First(given, axis => axis with { Minimum = double.NaN }));
        yield return ("an axis that ends before it begins", First(given, axis => axis with { Minimum = axis.Maximum + 1, Detents = [] }));
        yield return ("no camera turn", given with { Turns = [] });
        yield return ("no seat", given with { Seats = [] });
    }

    private static BackSpec First(BackSpec given, Func<AxisSpec, AxisSpec> change) => given with { Axes = [change(given.Axes[0]), .. given.Axes.Skip(1)] };

    private static BackSpec Drawn(BackSpec given, Random random)
    {
        int seats = random.Next(3), turns = random.Next(1, 16);
        return given with
        {
            Axes = [.. given.Axes.Select(axis => Drawn(axis, random))],
            Turns = random.Next(2) == 0 ? given.Turns : [.. Turns.All.Where((_, i) => (turns & 1 << i) != 0).Select(turn => new TurnSpec(turn, Fault(random, 0.5), Within(random, 0.4)))],
            Seats = seats switch
            {
                0 => given.Seats,
                1 => [new(false, Fault(random, 0.5), Within(random, 0.4))],
                _ => [new(false, Fault(random, 0.5), Within(random, 0.4)), new(true, Fault(random, 0.5), Within(random, 0.4))],
            },
        };
    }

    private static AxisSpec Drawn(AxisSpec axis, Random random) => random.Next(3) switch
    {
        0 => axis,
        1 => axis with { Detents = [] },
        _ => axis with { Detents = [.. Enumerable.Range(0, random.Next(1, 6)).Select(_ => Math.Clamp(axis.Minimum + random.NextDouble() * (axis.Maximum - axis.Minimum), axis.Minimum, axis.Maximum)).Distinct().Order()] },
    };

    private static PlanePoint Fault(Random random, double most) => new(Within(random, most), Within(random, most));

    private static double Within(Random random, double most) => most * (2 * random.NextDouble() - 1);
}
