using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>Values that a user may legally give: what a part must cope with.</summary>
public static class LegalValues
{
    // A range without an end is tried up to here.
    private const double Far = 1e6;

    /// <summary>
    /// The defaults; every parameter at both ends and in the middle, the others at their defaults; all at their lower and all at their upper ends; then combinations drawn
    /// from ends, defaults and anything between.
    /// </summary>
    /// <param name="definitions">The declared parameters.</param>
    /// <param name="combinations">How many combinations to draw; none are drawn where there are no parameters.</param>
    /// <param name="seed">The same seed draws the same combinations.</param>
    public static IEnumerable<ParameterValues> Of(IReadOnlyList<ParameterDefinition> definitions, int combinations, int seed)
    {
        ArgumentNullException.ThrowIfNull(definitions);
        return Enumerate(definitions, combinations, seed);
    }

    private static IEnumerable<ParameterValues> Enumerate(IReadOnlyList<ParameterDefinition> definitions, int combinations, int seed)
    {
        yield return Bind(definitions, definition => definition.Default);
        if (definitions.Count == 0)
            yield break;
        foreach (ParameterDefinition one in definitions)
        {
            foreach (double value in Marked(one))
                yield return Bind(definitions, definition => definition == one ? value : definition.Default);
        }
        yield return Bind(definitions, Low);
        yield return Bind(definitions, High);
        var random = new Random(seed);
        for (int i = 0; i < combinations; i++)
            yield return Bind(definitions, definition => Drawn(definition, random));
    }

    /// <summary>The values as a person would give them, such as <c>columns=3 step-x=27</c>.</summary>
    /// <param name="values">The values.</param>
    public static string InWords(ParameterValues values)
    {
        ArgumentNullException.ThrowIfNull(values);
        return values.Count == 0 ? "no parameters" : string.Join(' ', values.ToText().Select(pair => $"{pair.Key}={pair.Value}"));
    }

    private static ParameterValues Bind(IReadOnlyList<ParameterDefinition> definitions, Func<ParameterDefinition, double> value) =>
        ParameterValues.Bind(definitions, definitions.ToDictionary(definition => definition.Name, definition => definition.Format(value(definition))));

    private static double[] Marked(ParameterDefinition definition) => definition.Choices.Count > 0
        ? [.. Enumerable.Range(0, definition.Choices.Count).Select(i => (double)i)]
        : [Low(definition), Whole(definition, (Low(definition) + High(definition)) / 2), High(definition)];

    private static double Drawn(ParameterDefinition definition, Random random)
    {
        (double low, double high, double draw) = (Low(definition), High(definition), random.NextDouble());
        return draw switch
        {
            < 0.1 => low,
            < 0.2 => high,
            < 0.4 => definition.Default,
            // Near the lower end, where counts and sizes are those of real work.
            < 0.7 => Whole(definition, low + (high - low) * 0.05 * random.NextDouble()),
            _ => Whole(definition, low + (high - low) * random.NextDouble()),
        };
    }

    private static double Low(ParameterDefinition definition) => Math.Max(definition.Minimum, -Far);

    private static double High(ParameterDefinition definition) => Math.Max(Low(definition), Math.Min(definition.Maximum, Far));

    private static double Whole(ParameterDefinition definition, double value) => definition.IsWhole ? Math.Floor(value) : value;
}
