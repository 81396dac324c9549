namespace Imbrex.Sdk.Parameters;

/// <summary>What a layout, adapter geometry or export target says of itself.</summary>
public sealed record PartDescription
{
    /// <summary>Makes a description.</summary>
    /// <param name="name">Kebab-case name, unique among parts of its kind.</param>
    /// <param name="summary">One line, no full stop.</param>
    /// <param name="parameters">The parameters, declared once.</param>
    /// <exception cref="ArgumentException">The name is not kebab-case, the summary is empty or two parameters share a name.</exception>
    public PartDescription(string name, string summary, params IReadOnlyList<ParameterDefinition> parameters)
    {
        ArgumentNullException.ThrowIfNull(parameters);
        if (!KebabCase.IsValid(name))
            throw new ArgumentException($"'{name}' is not a kebab-case name.", nameof(name));
        ArgumentException.ThrowIfNullOrWhiteSpace(summary);
        if (parameters.Select(p => p.Name).Distinct(StringComparer.Ordinal).Count() != parameters.Count)
            throw new ArgumentException($"Two parameters of {name} share a name.", nameof(parameters));
        (Name, Summary, Parameters) = (name, summary, [.. parameters]);
    }

    /// <summary>Kebab-case name.</summary>
    public string Name { get; }

    /// <summary>One line.</summary>
    public string Summary { get; }

    /// <summary>The declared parameters in the order of the help.</summary>
    public IReadOnlyList<ParameterDefinition> Parameters { get; }
}
