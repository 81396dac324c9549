using System.CommandLine;
using System.Runtime.InteropServices;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Spectre.Console;

namespace Imbrex.Cli.Commands;

/// <summary>Tells what the program found on this machine.</summary>
internal sealed class DoctorVerb() : Verb("doctor", "Tells which libraries are found, which folders are used and how scripts are run", "imbrex doctor")
{
    private const string NoFolder = "not kept: there is no folder of your own";

    protected override void Define(Command command)
    {
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation)
    {
        Catalogue catalogue = context.Catalogue;
        string? libvips = Libvips();
        (string Name, string Value)[] facts =
        [
            ("imbrex", CommandLine.ProgramVersion),
            (".NET", RuntimeInformation.FrameworkDescription),
            ("system", $"{RuntimeInformation.OSDescription}, {RuntimeInformation.ProcessArchitecture}, {Environment.ProcessorCount} processors"),
            ("libvips", libvips ?? "cannot be loaded"),
            ("script compiler", RoslynScriptCompiler.Version),
            .. Walls(context),
            ("batch scripts", "run with your own rights, once you trust them"),
            ("trusted", Folders.Trust ?? NoFolder),
            ("keys", Folders.Keys ?? NoFolder),
            ("compiled scripts", Folders.ScriptCache ?? NoFolder),
            ("packages", Folders.Packages ?? NoFolder),
            .. Folders.Plugins.Select(folder => ("plugins", $"{folder.Path} ({folder.Files().Count} there)")),
        ];
        if (!context.Terminal.Json)
            Print(facts, context.Terminal.Tables);
        List<Finding> findings = [.. catalogue.Problems.Select(CatalogVerb.LeftOut)];
        if (libvips is null)
            findings.Add(new("libvips", "error", "libvips cannot be loaded: no picture can be read or written.") { Remedy = "Install the program again for this system." });
        return Task.FromResult(new VerbResult(findings.Count == 0 ? ExitCodes.Done : ExitCodes.Incomplete)
        {
            Findings = findings,
            Data = facts.Select(fact => new { fact.Name, fact.Value }),
        });
    }

    private static IEnumerable<(string Name, string Value)> Walls(CommandContext context)
    {
        try
        {
            return context.Scripts.Walls().Select(wall => ("strangers' scripts", wall.Stands ? wall.Wall : $"not on this machine: {wall.Wall}"));
        }
        catch (InputException e)
        {
            return [("strangers' scripts", $"cannot be run: {e.Message}")];
        }
    }

    private static void Print(IEnumerable<(string Name, string Value)> facts, IAnsiConsole console)
    {
        Grid grid = new Grid().AddColumn().AddColumn();
        foreach ((string name, string value) in facts)
            grid.AddRow(new Text(name), new Text(value));
        console.Write(grid);
    }

    private static string? Libvips()
    {
        try
        {
            return $"{NetVips.NetVips.Version(0)}.{NetVips.NetVips.Version(1)}.{NetVips.NetVips.Version(2)}";
        }
        catch (Exception e) when (e is TypeInitializationException or DllNotFoundException)
        {
            return null;
        }
    }
}
