using System.CommandLine;

namespace Imbrex.Cli.Commands;

/// <summary>Lists what is at hand.</summary>
internal sealed class CatalogVerb() : Verb("catalog", "Lists layouts, adapters and export targets, and where each comes from", "imbrex catalog")
{
    protected override void Define(Command command)
    {
    }

    protected override Task<VerbResult> RunAsync(ParseResult given, CommandContext context, CancellationToken cancellation) =>
        Task.FromResult(new VerbResult());
}
