using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Batch;

/// <summary>Proves a layout and makes a plan of it.</summary>
public interface ITakePlanner
{
    /// <exception cref="RefusalException">The layout is not accepted.</exception>
    Task<PlanDocument> PlanAsync(BatchPlanRequest request, CancellationToken cancellation);
}

/// <summary>Merges the frames of one take.</summary>
public interface ITakeMerger
{
    /// <summary>Writes mosaic.json, last, and the picture into a folder.</summary>
    /// <param name="take">Plan and frames.</param>
    /// <param name="folder">Where the mosaic goes.</param>
    /// <param name="replace">Whether what is there may be replaced.</param>
    /// <param name="progress">How far it is.</param>
    /// <param name="cancellation">Cancels; nothing half-written stays.</param>
    Task<BatchMosaic> MergeAsync(BatchTake take, string folder, bool replace, IProgress<StageProgress> progress, CancellationToken cancellation);
}

/// <summary>Runs an export target on a merged picture.</summary>
public interface IMosaicExporter
{
    /// <summary>Writes a deliverable under the name of the take.</summary>
    /// <param name="mosaic">The picture.</param>
    /// <param name="target">Name of the export target.</param>
    /// <param name="folder">Where the deliverable goes.</param>
    /// <param name="parameters">Values of the target's parameters as a person writes them.</param>
    /// <param name="replace">Whether what is there may be replaced.</param>
    /// <param name="progress">How far it is.</param>
    /// <param name="cancellation">Cancels; nothing half-written stays.</param>
    Task<ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string> parameters,
        bool replace, IProgress<StageProgress> progress, CancellationToken cancellation);
}

/// <summary>The work that a batch is made of.</summary>
public sealed record BatchSteps(ITakePlanner Planner, ITakeMerger Merger, IMosaicExporter Exporter);
