namespace Imbrex.Sdk.Scripting;

/// <summary>What the host does for a batch script. Paths are the user's; nothing existing is replaced unless the run allows it.</summary>
public interface IBatchHost
{
    /// <summary>The folders below <paramref name="folder"/> (itself included) that hold a plan.json, in natural order.</summary>
    /// <exception cref="InputException">The folder does not exist.</exception>
    IReadOnlyList<BatchTake> FindTakes(string folder);

    /// <summary>Proves a layout for a kit and a format, and writes plan.json into <paramref name="folder"/>.</summary>
    /// <exception cref="RefusalException">The layout is not accepted.</exception>
    Task<BatchTake> PlanAsync(BatchPlanRequest request, string folder, CancellationToken cancellation);

    /// <summary>Merges a take into <paramref name="folder"/>.</summary>
    /// <exception cref="ImbrexException">The take cannot be merged.</exception>
    Task<BatchMosaic> MergeAsync(BatchTake take, string folder, CancellationToken cancellation);

    /// <summary>Runs an export target on a merged picture.</summary>
    /// <param name="mosaic">The merged picture.</param>
    /// <param name="target">Name of the export target.</param>
    /// <param name="folder">Where the deliverable goes.</param>
    /// <param name="parameters">Values of the target's parameters as a person writes them.</param>
    /// <param name="cancellation">Cancels the export.</param>
    /// <exception cref="ImbrexException">The target is not known or refuses.</exception>
    Task<Exports.ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder,
        IReadOnlyDictionary<string, string>? parameters, CancellationToken cancellation);

    /// <summary>Writes a line for the person who runs the batch.</summary>
    void Log(string message);

    /// <summary>Says how far the whole batch is, 0 to 1, and what it is at.</summary>
    void Progress(double done, string what);
}

/// <summary>A folder with a plan and, beside it, the frames.</summary>
/// <param name="Name">The folder's own name.</param>
/// <param name="PlanFile">Path of plan.json.</param>
/// <param name="FramesFolder">Folder of the frames.</param>
public sealed record BatchTake(string Name, string PlanFile, string FramesFolder);

/// <summary>What to plan.</summary>
/// <param name="KitFile">Path of the kit's JSON.</param>
/// <param name="Layout">Name of a layout or path of a layout script.</param>
/// <param name="Format">The rectangle to fill, mm.</param>
/// <param name="Parameters">Values of the layout's parameters as a person writes them.</param>
public sealed record BatchPlanRequest(string KitFile, string Layout, Geometry.PlaneSize Format, IReadOnlyDictionary<string, string>? Parameters = null);

/// <summary>A merged picture on disk.</summary>
/// <param name="Take">The take's name.</param>
/// <param name="MosaicFile">Path of mosaic.json.</param>
/// <param name="Findings">What the merge noticed, in words.</param>
public sealed record BatchMosaic(string Take, string MosaicFile, IReadOnlyList<string> Findings);

/// <summary>
/// The words that a batch script (.csx) may use: its members are in scope there without a prefix. A batch script runs with the
/// user's own rights.
/// </summary>
public class BatchScript
{
    private readonly IBatchHost _host;

    /// <summary>Prepares one run. Hosts call this; scripts do not.</summary>
    public BatchScript(IBatchHost host, string input, string output, IReadOnlyDictionary<string, string> arguments, CancellationToken cancellation) =>
        (_host, Input, Output, Arguments, Cancellation) = (host, input, output, arguments, cancellation);

    /// <summary>Folder given by <c>--in</c>.</summary>
    public string Input { get; }

    /// <summary>Folder given by <c>--out</c>.</summary>
    public string Output { get; }

    /// <summary>Arguments given as <c>name=value</c>.</summary>
    public IReadOnlyDictionary<string, string> Arguments { get; }

    /// <summary>Is cancelled by Ctrl-C; pass it on to what takes one.</summary>
    public CancellationToken Cancellation { get; }

    /// <inheritdoc cref="IBatchHost.FindTakes"/>
    public IReadOnlyList<BatchTake> FindTakes(string folder) => _host.FindTakes(folder);

    /// <inheritdoc cref="IBatchHost.PlanAsync"/>
    public Task<BatchTake> PlanAsync(BatchPlanRequest request, string folder) => _host.PlanAsync(request, folder, Cancellation);

    /// <inheritdoc cref="IBatchHost.MergeAsync"/>
    public Task<BatchMosaic> MergeAsync(BatchTake take, string folder) => _host.MergeAsync(take, folder, Cancellation);

    /// <inheritdoc cref="IBatchHost.ExportAsync"/>
    public Task<Exports.ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string>? parameters = null) =>
        _host.ExportAsync(mosaic, target, folder, parameters, Cancellation);

    /// <inheritdoc cref="IBatchHost.Log"/>
    public void Log(string message) => _host.Log(message);

    /// <inheritdoc cref="IBatchHost.Progress"/>
    public void Progress(double done, string what) => _host.Progress(done, what);
}
