using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Hosting.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Batch;

/// <summary>What batch scripts call: finds takes, and runs each step unless the ledger knows it as done.</summary>
/// <param name="steps">The work.</param>
/// <param name="ledger">What earlier runs finished.</param>
/// <param name="replace">Whether existing output may be replaced.</param>
/// <param name="log">Takes lines for the person who runs the batch.</param>
/// <param name="progress">How far the work is.</param>
public sealed class BatchHost(BatchSteps steps, BatchLedger ledger, bool replace, Action<string> log, IProgress<StageProgress> progress) : IBatchHost
{
    /// <summary>The file that makes a folder a take.</summary>
    public const string PlanName = "plan.json";

    private const string FramesName = "frames";

    public IReadOnlyList<BatchTake> FindTakes(string folder)
    {
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name the folder that holds the takes, with --in.");
        var below = new EnumerationOptions { RecurseSubdirectories = true, MatchCasing = MatchCasing.CaseSensitive };
        return [.. Directory.EnumerateFiles(folder, PlanName, below).Order(NaturalOrder.Instance).Select(TakeOf)];
    }

    public async Task<BatchTake> PlanAsync(BatchPlanRequest request, string folder, CancellationToken cancellation)
    {
        string path = Path.Combine(folder, PlanName);
        OutputFile.RefuseExisting(path, replace);
        PlanDocument plan = await steps.Planner.PlanAsync(request, cancellation);
        OutputFile.Write(path, KitFiles.ToBytes(plan, path));
        return TakeOf(path);
    }

    public async Task<BatchMosaic> MergeAsync(BatchTake take, string folder, CancellationToken cancellation)
    {
        string inputs = await InputHash.OfTakeAsync(take, cancellation);
        if (ledger.FindMerge(folder, inputs) is { } done)
        {
            Log($"{take.Name}: merged already");
            return done with { Take = take.Name };
        }
        BatchMosaic mosaic = await steps.Merger.MergeAsync(take, folder, replace, progress, cancellation);
        ledger.Record(mosaic, folder, inputs);
        return mosaic;
    }

    public async Task<ExportReceipt> ExportAsync(
        BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string>? parameters, CancellationToken cancellation)
    {
        parameters ??= new Dictionary<string, string>();
        string inputs = await InputHash.OfExportAsync(mosaic, target, parameters, cancellation);
        if (ledger.FindExport(folder, inputs) is { } done)
        {
            Log($"{mosaic.Take}: exported already ({target})");
            return done;
        }
        ExportReceipt receipt = await steps.Exporter.ExportAsync(mosaic, target, folder, parameters, replace, progress, cancellation);
        ledger.Record(receipt, mosaic.Take, folder, inputs);
        return receipt;
    }

    public void Log(string message) => log(message);

    public void Progress(double done, string what) => progress.Report(new(what, done));

    // Frames lie in a folder of their own, or beside the plan.
    private static BatchTake TakeOf(string planFile)
    {
        string folder = Path.GetDirectoryName(Path.GetFullPath(planFile))!;
        string frames = Path.Combine(folder, FramesName);
        return new(Path.GetFileName(folder), planFile, Directory.Exists(frames) ? frames : folder);
    }
}
