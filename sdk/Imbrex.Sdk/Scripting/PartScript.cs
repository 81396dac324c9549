using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Scripting;

/// <summary>The words that layout and adapter scripts share: name, summary and parameters.</summary>
public abstract class PartScript
{
    private readonly IReadOnlyDictionary<string, string> _given;
    private readonly List<ParameterDefinition> _parameters = [];
    private readonly string _part;
    private string? _name;
    private string? _summary;

    // Nobody outside the SDK makes another kind of script.
    private protected PartScript(string part, IReadOnlyDictionary<string, string> given) => (_part, _given) = (part, given);

    /// <summary>Names the part, in kebab-case: <c>Name("lantern");</c></summary>
    /// <exception cref="InputException">Not kebab-case.</exception>
    public void Name(string name) => _name = KebabCase.IsValid(name)
        ? name
        : throw new InputException($"'{name}' is not a name for {_part}.", "Name", "Use lower-case letters, digits and single hyphens, a letter first.");

    /// <summary>Says in one line what it is for: <c>Summary("Two rows of three");</c></summary>
    public void Summary(string summary) => _summary = summary;

    /// <summary>Declares a parameter and returns its value: <c>var side = Parameter("side", 34.0, Unit.Millimetre, 26, 40);</c></summary>
    /// <param name="name">Kebab-case name.</param>
    /// <param name="default">Value where the user gives none.</param>
    /// <param name="unit">What the number counts.</param>
    /// <param name="minimum">Smallest legal value.</param>
    /// <param name="maximum">Largest legal value.</param>
    /// <param name="summary">One line for the help.</param>
    /// <exception cref="InputException">The user's value is not legal.</exception>
    public double Parameter(string name, double @default, Unit unit = Unit.None,
        double minimum = double.NegativeInfinity, double maximum = double.PositiveInfinity, string summary = "") =>
        Declare(ParameterDefinition.Number(Named(name), summary, @default, unit, minimum, maximum));

    /// <summary>Declares a whole-number parameter and returns its value: <c>var rows = Count("rows", 2, 1, 9);</c></summary>
    /// <param name="name">Kebab-case name.</param>
    /// <param name="default">Value where the user gives none.</param>
    /// <param name="minimum">Smallest legal value.</param>
    /// <param name="maximum">Largest legal value.</param>
    /// <param name="summary">One line for the help.</param>
    /// <exception cref="InputException">The user's value is not legal.</exception>
    public int Count(string name, int @default, int minimum = 0, int maximum = int.MaxValue, string summary = "") =>
        (int)Declare(ParameterDefinition.Count(Named(name), summary, @default, minimum, maximum));

    /// <summary>What the script has said of itself so far, also where it then refused the request. Hosts call this; scripts do not.</summary>
    /// <exception cref="InputException">The script gave no name.</exception>
    public PartDescription Describe()
    {
        if (_name is null)
            throw new InputException("The script never says its name.", "Name", $"Begin with a line such as Name(\"my-{_part.Split(' ')[^1]}\");");
        string summary = string.IsNullOrWhiteSpace(_summary) ? $"{char.ToUpperInvariant(_part[0])}{_part[1..]} script" : _summary;
        return new(_name, summary, [.. _parameters]);
    }

    /// <summary>The user's values, checked.</summary>
    /// <exception cref="InputException">The user gave a parameter that the script does not declare.</exception>
    private protected ParameterValues Bind() => ParameterValues.Bind(_parameters, _given);

    private static string Named(string name) => KebabCase.IsValid(name)
        ? name
        : throw new InputException($"'{name}' is not a kebab-case name, and a parameter's must be.", "Parameter", "Use lower-case letters, digits and single hyphens, a letter first.");

    private double Declare(ParameterDefinition definition)
    {
        if (_parameters.Exists(known => known.Name == definition.Name))
            throw new InputException($"The parameter '{definition.Name}' is declared twice.", "Parameter", "Give each parameter its own name.");
        _parameters.Add(definition);
        return _given.TryGetValue(definition.Name, out string? text) ? definition.Parse(text) : definition.Default;
    }
}
