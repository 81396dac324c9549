using System.Globalization;

namespace Imbrex.Sdk.Parameters;

/// <summary>
/// One parameter of a layout, adapter or export target, declared once: help, validation, script binding, JSON and fuzz tests
/// all read this declaration. Values are numbers, or one of a list of words.
/// </summary>
public sealed record ParameterDefinition
{
    private ParameterDefinition(string name, string summary) => (Name, Summary) = (name, summary);

    /// <summary>Name as typed on the command line and in JSON: a letter, then letters, digits and hyphens (kebab-case).</summary>
    public string Name { get; }

    /// <summary>One line for the help.</summary>
    public string Summary { get; }

    /// <summary>What the number counts.</summary>
    public Unit Unit { get; private init; }

    /// <summary>Value where the user gives none; for words, the index in <see cref="Choices"/>.</summary>
    public double Default { get; private init; }

    /// <summary>Smallest legal value.</summary>
    public double Minimum { get; private init; } = double.NegativeInfinity;

    /// <summary>Largest legal value.</summary>
    public double Maximum { get; private init; } = double.PositiveInfinity;

    /// <summary>Whether only whole numbers are legal.</summary>
    public bool IsWhole { get; private init; }

    /// <summary>The legal words, in order; empty for a number.</summary>
    public IReadOnlyList<string> Choices { get; private init; } = [];

    /// <summary>A number with a unit and a closed range.</summary>
    /// <exception cref="ArgumentException">The name is not kebab-case, or the default lies outside the range.</exception>
    public static ParameterDefinition Number(string name, string summary, double @default, Unit unit = Unit.None,
        double minimum = double.NegativeInfinity, double maximum = double.PositiveInfinity) =>
        new ParameterDefinition(name, summary) { Unit = unit, Default = @default, Minimum = minimum, Maximum = maximum }.Checked();

    /// <summary>A whole number with a closed range.</summary>
    /// <exception cref="ArgumentException">The name is not kebab-case, or the default lies outside the range.</exception>
    public static ParameterDefinition Count(string name, string summary, int @default, int minimum = 0, int maximum = int.MaxValue) =>
        new ParameterDefinition(name, summary)
        {
            Unit = Unit.Count,
            Default = @default,
            Minimum = minimum,
            Maximum = maximum,
            IsWhole = true,
        }.Checked();

    /// <summary>One of several words; the first is the default.</summary>
    /// <exception cref="ArgumentException">The name is not kebab-case, or there is no word.</exception>
    public static ParameterDefinition Choice(string name, string summary, params IReadOnlyList<string> choices)
    {
        ArgumentNullException.ThrowIfNull(choices);
        return new ParameterDefinition(name, summary) { Choices = [.. choices], Minimum = 0, Maximum = choices.Count - 1, IsWhole = true }.Checked();
    }

    /// <summary>Yes or no, as the words <c>no</c> and <c>yes</c>.</summary>
    /// <exception cref="ArgumentException">The name is not kebab-case.</exception>
    public static ParameterDefinition Flag(string name, string summary, bool @default = false) =>
        Choice(name, summary, "no", "yes") with { Default = @default ? 1 : 0 };

    /// <summary>Reads a value as typed by a person.</summary>
    /// <param name="text">A number in invariant notation, or one of <see cref="Choices"/>.</param>
    /// <exception cref="InputException">Not a finite number, not one of the words, or out of range.</exception>
    public double Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (Choices.Count > 0)
        {
            for (int i = 0; i < Choices.Count; i++)
            {
                if (Choices[i] == text)
                    return i;
            }
            throw new InputException($"Parameter {Name} is '{text}'.", Name, $"Give one of: {string.Join(", ", Choices)}.");
        }
        return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            ? Validated(value)
            : throw new InputException($"Parameter {Name} is '{text}', which is not a number.", Name, $"Give {Range()}.");
    }

    /// <summary>Returns the value if it is legal.</summary>
    /// <exception cref="InputException">Not finite, not whole where it must be, or out of range.</exception>
    public double Validated(double value)
    {
        if (!double.IsFinite(value) || value < Minimum || value > Maximum || (IsWhole && value != Math.Floor(value)))
            throw new InputException(string.Create(CultureInfo.InvariantCulture, $"Parameter {Name} is {value}{Suffix()}."), Name, $"Give {Range()}.");
        return value;
    }

    /// <summary>The value as a person writes it, without its unit.</summary>
    public string Format(double value) => Choices.Count > 0 ? Choices[(int)value] : value.ToString("R", CultureInfo.InvariantCulture);

    /// <summary>What is legal, in words: <c>a number from 26 to 40 mm</c>, or the list of words.</summary>
    public string Range()
    {
        if (Choices.Count > 0)
            return $"one of {string.Join(", ", Choices)}";
        string kind = IsWhole ? "a whole number" : "a number";
        string range = (double.IsFinite(Minimum), Maximum < (IsWhole ? int.MaxValue : double.PositiveInfinity)) switch
        {
            (true, true) => $" from {Format(Minimum)} to {Format(Maximum)}",
            (true, false) => $" of at least {Format(Minimum)}",
            (false, true) => $" of at most {Format(Maximum)}",
            _ => "",
        };
        return kind + range + Suffix();
    }

    private string Suffix() => Unit.Sign() is { Length: > 0 } sign ? " " + sign : "";

    private ParameterDefinition Checked()
    {
        if (!KebabCase.IsValid(Name))
            throw new ArgumentException($"'{Name}' is not a kebab-case name.", nameof(Name));
        if (Maximum < Minimum)
            throw new ArgumentException($"The range of {Name} is empty.", nameof(Name));
        if (!(Default >= Minimum && Default <= Maximum))
            throw new ArgumentException($"The default of {Name} lies outside its range.", nameof(Name));
        return this;
    }
}
