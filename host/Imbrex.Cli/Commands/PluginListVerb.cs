using System.CommandLine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>Lists packages.</summary>
internal sealed class PluginListVerb() : Verb("list", "Lists the installed packages, or what a feed offers", "imbrex plugin list", "imbrex plugin list --feed https://example.org/layouts")
{
    private readonly Option<string?> _feed = new("--feed") { HelpName = "FOLDER|URL", Description = "List what this feed offers" };

    protected override bool ReadsPictures => false;

    protected override void Define(Command command) => command.Add(_feed);

    protected override async Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation) =>
        given.GetValue(_feed) is { } feed ? Offered(await Feed.Open(feed).ListAsync(cancellation), context) : Installed(context);

    private static VerbResult Installed(CommandContext context)
    {
        (LockedPackage Package, string? Damage)[] packages = [.. context.Packages.Packages.Select(package => (package, context.Packages.Damage(package)))];
        Table table = new Table().Border(TableBorder.Simple).AddColumns("Name", "Version", "Kind", "What it is", "Author", "Key");
        foreach ((LockedPackage package, _) in packages)
            table.AddRow(new Text(package.Name), new Text(package.Version), new Text(package.Kind), new Text(package.Summary), new Text(package.Author), new Text(package.Key ?? "none"));
        Show(table, packages.Length, "No package is installed.", context);
        return new(packages.All(one => one.Damage is null) ? ExitCodes.Done : ExitCodes.Incomplete)
        {
            Findings = [.. packages.Where(one => one.Damage is not null).Select(one => PackageInfo.Damaged(one.Package, one.Damage!, context))],
            Data = packages.Select(one => PackageFacts.Of(one.Package, null, one.Damage is null ? "installed" : "damaged")),
        };
    }

    private static VerbResult Offered(IReadOnlyList<FeedPackage> packages, CommandContext context)
    {
        Table table = new Table().Border(TableBorder.Simple).AddColumns("Name", "Version", "What it is");
        foreach (FeedPackage package in packages)
            table.AddRow(new Text(package.Name), new Text(package.Version), new Text(package.Summary ?? ""));
        Show(table, packages.Count, "The feed has no packages.", context);
        return new() { Data = packages };
    }

    private static void Show(Table table, int rows, string none, CommandContext context)
    {
        if (rows == 0)
            context.Terminal.Say(none);
        else if (!context.Terminal.Json)
            context.Terminal.Tables.Write(table);
    }
}
