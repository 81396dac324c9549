using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Hosting.Batch;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Cli.Batch;

/// <summary>Merges a take as <c>imbrex merge</c> does without options.</summary>
internal sealed class TakeMerger : ITakeMerger
{
    public async Task<BatchMosaic> MergeAsync(
        BatchTake take, string folder, bool replace, IProgress<StageProgress> progress, CancellationToken cancellation)
    {
        var request = new MergeRequest
        {
            Plan = JsonDocuments.Read<PlanDocument>(take.PlanFile, PlanDocument.SchemaName),
            FramesFolder = take.FramesFolder,
            OutputFolder = folder,
            Force = replace,
            Workers = Environment.ProcessorCount,
            ProgramVersion = CommandLine.ProgramVersion,
        };
        MergeResult result = await Task.Run(() => MergeRunner.Run(request, progress, TimeProvider.System, cancellation), cancellation);
        return new(take.Name, result.MosaicFile, [.. result.Mosaic.Findings.Select(finding => finding.Text)]);
    }
}
