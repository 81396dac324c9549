namespace Imbrex.Sdk.Parameters;

/// <summary>The values of a part's parameters: every declared parameter has one, each within its range.</summary>
public sealed class ParameterValues
{
    private readonly Dictionary<string, Bound> _values;

    private ParameterValues(Dictionary<string, Bound> values) => _values = values;

    /// <summary>No parameters.</summary>
    public static ParameterValues None { get; } = new([]);

    /// <summary>Binds what the user gave to what is declared; the rest takes its default.</summary>
    /// <param name="definitions">The declared parameters.</param>
    /// <param name="given">Names and values as the user wrote them.</param>
    /// <exception cref="InputException">An unknown name, or a value that is not legal.</exception>
    public static ParameterValues Bind(IEnumerable<ParameterDefinition> definitions, IReadOnlyDictionary<string, string>? given = null)
    {
        ArgumentNullException.ThrowIfNull(definitions);
        var bound = new Dictionary<string, Bound>(StringComparer.Ordinal);
        foreach (ParameterDefinition definition in definitions)
        {
            double value = given is not null && given.TryGetValue(definition.Name, out string? text) ? definition.Parse(text) : definition.Default;
            bound.Add(definition.Name, new(definition, value));
        }
        foreach (string name in given?.Keys ?? [])
        {
            if (!bound.ContainsKey(name))
            {
                string remedy = bound.Count == 0 ? "It takes no parameters." : $"Known parameters: {string.Join(", ", bound.Keys)}.";
                throw new InputException($"There is no parameter '{name}'.", name, NearestWord.Suggest(name, bound.Keys) ?? remedy);
            }
        }
        return new(bound);
    }

    /// <summary>Number of parameters.</summary>
    public int Count => _values.Count;

    /// <summary>The value of a declared parameter.</summary>
    /// <exception cref="KeyNotFoundException">The name is not declared: a mistake of the plugin's author.</exception>
    public double this[string name] => Entry(name).Value;

    /// <summary>The value of a whole-number parameter.</summary>
    /// <exception cref="KeyNotFoundException">The name is not declared.</exception>
    public int Whole(string name) => (int)Entry(name).Value;

    /// <summary>Whether a yes-or-no parameter is yes.</summary>
    /// <exception cref="KeyNotFoundException">The name is not declared.</exception>
    public bool Flag(string name) => Entry(name).Value != 0;

    /// <summary>The word of a parameter that is one of several words.</summary>
    /// <exception cref="KeyNotFoundException">The name is not declared.</exception>
    public string Word(string name) => Entry(name).ToText();

    /// <summary>Every name with its value as a person writes it, in the order of declaration.</summary>
    public IReadOnlyDictionary<string, string> ToText() => _values.ToDictionary(pair => pair.Key, pair => pair.Value.ToText(), StringComparer.Ordinal);

    private Bound Entry(string name) => _values.TryGetValue(name, out Bound? entry)
        ? entry
        : throw new KeyNotFoundException($"The parameter '{name}' is not declared; declared are: {string.Join(", ", _values.Keys)}.");

    private sealed record Bound(ParameterDefinition Definition, double Value)
    {
        public string ToText() => Definition.Format(Value);
    }
}
