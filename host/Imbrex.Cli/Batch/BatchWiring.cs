using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Hosting.Batch;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Batch;

/// <summary>Ties the steps that batch scripts call to the stages of the engine.</summary>
internal static class BatchWiring
{
    public static BatchSteps Steps { get; } = new(new Absent(), new TakeMerger(), new Absent());

    // A step that is not tied in yet says so; it never pretends to have worked.
    private sealed class Absent : ITakePlanner, IMosaicExporter
    {
        public Task<PlanDocument> PlanAsync(BatchPlanRequest request, CancellationToken cancellation) => throw NotHere("plan");

        public Task<ExportReceipt> ExportAsync(string mosaicFile, string target, string folder, IReadOnlyDictionary<string, string> parameters,
            bool replace, IProgress<StageProgress> progress, CancellationToken cancellation) => throw NotHere("export");

        private static RefusalException NotHere(string step) => new($"This build cannot {step} from a batch script.");
    }
}
