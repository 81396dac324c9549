using System.CommandLine;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Plugins;
using Imbrex.Sdk.Parameters;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>Lists what is at hand.</summary>
internal sealed class CatalogVerb() : Verb("catalog", "Lists layouts, adapters and export targets, and where each comes from",
    "imbrex catalog", "imbrex catalog --scripts scripts/adapters", "imbrex catalog --scripts scripts/layouts --json")
{
    private readonly Option<string?> _scripts = new("--scripts") { HelpName = "FOLDER", Description = "List the layout and adapter scripts of this folder too" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command) => command.Add(_scripts);

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        Catalogue catalogue = context.Catalogue;
        if (given.GetValue(_scripts) is { } folder)
            catalogue.AddScripts(folder);
        CatalogItem[] items =
        [
            .. catalogue.Layouts.Select(entry => CatalogItem.Of("layout", entry.Description, entry.Origin)),
            .. catalogue.Adapters.Select(entry => CatalogItem.Of("adapter", entry.Description, entry.Origin)),
            .. catalogue.Exports.Select(entry => CatalogItem.Of("export", entry.Description, entry.Origin)),
        ];
        if (!context.Terminal.Json && items.Length > 0)
            context.Terminal.Tables.Write(Table(items));
        return Task.FromResult(new VerbResult(catalogue.Problems.Count == 0 ? ExitCodes.Done : ExitCodes.Incomplete)
        {
            Findings = [.. catalogue.Problems.Select(LeftOut)],
            Data = items,
        });
    }

    /// <summary>What to tell of a plugin or script that was left out.</summary>
    public static Finding LeftOut(PluginProblem problem) => new("left-out", "warning", $"{problem.Name} is left out. {problem.Reason}") { Where = problem.Path };

    private static Table Table(IEnumerable<CatalogItem> items)
    {
        Table table = new Table().Border(TableBorder.Simple).AddColumns("Kind", "Name", "What it is", "From");
        foreach (CatalogItem item in items)
        {
            table.AddRow(new Text(item.Kind), new Text(item.Name), new Text(item.Summary), new Text(item.Origin == "built-in" ? item.Origin : item.From));
            foreach (CatalogParameter parameter in item.Parameters)
                table.AddRow(new Text(""), new Text("  " + parameter.Name), new Text(parameter.InWords()), new Text(""));
        }
        return table;
    }
}

/// <summary>A part as it is listed.</summary>
/// <param name="Kind"><c>layout</c>, <c>adapter</c> or <c>export</c>.</param>
/// <param name="Name">Its name.</param>
/// <param name="Summary">One line.</param>
/// <param name="Origin"><c>built-in</c>, <c>plugin</c>, <c>package</c> or <c>script</c>.</param>
/// <param name="From">Name of the plugin, package or script.</param>
/// <param name="Path">Its file.</param>
/// <param name="Parameters">What it takes.</param>
internal sealed record CatalogItem(
    string Kind, string Name, string Summary, string Origin, string From, string Path, IReadOnlyList<CatalogParameter> Parameters)
{
    public static CatalogItem Of(string kind, PartDescription description, Origin origin) => new(
        kind, description.Name, description.Summary, Word(origin.Kind), origin.Name, origin.Path,
        [.. description.Parameters.Select(CatalogParameter.Of)]);

    private static string Word(OriginKind kind) => kind switch
    {
        OriginKind.BuiltIn => "built-in",
        OriginKind.Plugin => "plugin",
        OriginKind.Package => "package",
        _ => "script",
    };
}

/// <summary>A parameter as it is listed. Minimum and maximum are absent where there is none.</summary>
internal sealed record CatalogParameter(
    string Name, string Summary, string Unit, string Default, double? Minimum, double? Maximum, IReadOnlyList<string>? Choices, string Range)
{
    public static CatalogParameter Of(ParameterDefinition parameter)
    {
        bool isWord = parameter.Choices.Count > 0;
        return new(parameter.Name, parameter.Summary, parameter.Unit.Sign(), parameter.Format(parameter.Default),
            isWord ? null : Finite(parameter.Minimum), isWord ? null : Finite(parameter.Maximum), isWord ? parameter.Choices : null, parameter.Range());
    }

    public string InWords()
    {
        string about = Summary.Length > 0 ? Summary + ": " : "";
        string unit = Unit.Length > 0 ? " " + Unit : "";
        return $"{about}{Range}; {Default}{unit} unless given";
    }

    private static double? Finite(double value) => double.IsFinite(value) ? value : null;
}
