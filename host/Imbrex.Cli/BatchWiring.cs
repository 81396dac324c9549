using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli;

/// <summary>Ties the steps that batch scripts call to the stages of the engine.</summary>
internal static class BatchWiring
{
    public static BatchSteps Steps(CommandContext context)
    {
        _ = context.Catalogue;
        var absent = new Absent();
        return new(absent, absent, absent);
    }

    // The stages are tied in where they land; until then a script is told so instead of being given a result.
    private sealed class Absent : ITakePlanner, ITakeMerger, IMosaicExporter
    {
        public Task<PlanDocument> PlanAsync(BatchPlanRequest request, CancellationToken cancellation) => throw NotHere("plan");

        public Task<BatchMosaic> MergeAsync(
            BatchTake take, string folder, bool replace, IProgress<StageProgress> progress, CancellationToken cancellation) => throw NotHere("merge");

        public Task<ExportReceipt> ExportAsync(string mosaicFile, string target, string folder, IReadOnlyDictionary<string, string> parameters,
            bool replace, IProgress<StageProgress> progress, CancellationToken cancellation) => throw NotHere("export");

        private static RefusalException NotHere(string step) => new($"This build cannot {step} from a batch script.");
    }
}
