using Imbrex.Hosting.Batch;

namespace Imbrex.Cli.Batch;

/// <summary>Ties the steps that batch scripts call to the stages of the engine.</summary>
internal static class BatchWiring
{
    public static BatchSteps Steps(CommandContext context) => new(new TakePlanner(context), new TakeMerger(), new MosaicExporter(context));
}
