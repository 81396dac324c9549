using System.CommandLine;
using Imbrex.Cli.Arguments;

namespace Imbrex.Cli;

/// <summary>Options that mean the same wherever they occur.</summary>
internal static class CommonOptions
{
    public static Option<bool> Json { get; } = new("--json") { Description = "Print one JSON object for machines", Recursive = true };

    public static Option<bool> Debug { get; } = new("--debug") { Description = "Show stack traces when something fails", Recursive = true };

    /// <summary>A width and height on the image plane.</summary>
    public static Option<TypedSize?> Format() => new("--format")
    {
        HelpName = "WxH",
        Description = "Rectangle to fill, mm on the image plane, such as 90x44",
        CustomParser = result => new(SizeText.Parse(result.Tokens[0].Value, "--format")),
    };

    /// <summary>Values of the parameters of a layout, adapter or export target.</summary>
    public static Option<IReadOnlyDictionary<string, string>> Set() => new("--set")
    {
        HelpName = "name=value",
        Description = "Value of a parameter; may be repeated",
        Arity = ArgumentArity.OneOrMore,
        DefaultValueFactory = _ => new Dictionary<string, string>(),
        CustomParser = result => NameValueText.Parse(result.Tokens.Select(token => token.Value), "--set"),
    };

    /// <summary>A number that must not be negative.</summary>
    public static Option<double?> NotNegative(string name, string helpName, string description) => new(name)
    {
        HelpName = helpName,
        Description = description,
        CustomParser = result => NumberText.NotNegative(result.Tokens[0].Value, name),
    };

    /// <summary>A length in millimetres that must not be negative.</summary>
    public static Option<double?> Length(string name, string description) => NotNegative(name, "MM", description);

    /// <summary>How far tiles may be off: millimetres and, after a comma, degrees.</summary>
    public static Option<Tolerance?> Tolerance(string description = "How far the back may miss a position (mm) and an angle (degrees)") => new("--tolerance")
    {
        HelpName = "MM[,DEG]",
        Description = description,
        CustomParser = result => ToleranceText.Parse(result.Tokens[0].Value, "--tolerance"),
    };

    /// <summary>The folder or file to write.</summary>
    public static Option<string> Out(string helpName, string description) => new("--out") { HelpName = helpName, Description = description };

    /// <summary>Whether existing output may be replaced.</summary>
    public static Option<bool> Force() => new("--force") { Description = "Replace output that exists" };
}
