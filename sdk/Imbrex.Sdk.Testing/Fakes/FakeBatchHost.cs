using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>A host for batch scripts that does nothing, writes nothing, and remembers what it was asked.</summary>
public sealed class FakeBatchHost : IBatchHost
{
    private readonly List<string> _calls = [];
    private readonly List<string> _log = [];

    /// <summary>The takes that are found, whatever the folder.</summary>
    public IReadOnlyList<BatchTake> Takes { get; init; } = [new("quarry", "quarry/plan.json", "quarry/frames")];

    /// <summary>What a merge of a take notices; nothing unless set. To make a take fail, throw an <see cref="InputException"/> or a <see cref="RefusalException"/>.</summary>
    public Func<BatchTake, IReadOnlyList<string>> Findings { get; init; } = _ => [];

    /// <summary>What was asked, in order: <c>find FOLDER</c>, <c>plan LAYOUT WxH FOLDER</c>, <c>merge TAKE FOLDER</c>, <c>export TAKE TARGET FOLDER</c>.</summary>
    public IReadOnlyList<string> Calls => _calls;

    /// <summary>The lines for the person who runs the batch.</summary>
    public IReadOnlyList<string> Lines => _log;

    /// <summary>How far the batch said it was at last.</summary>
    public double Done { get; private set; }

    /// <summary>The globals of a script over this host, with its words.</summary>
    /// <param name="input">What <c>--in</c> gives.</param>
    /// <param name="output">What <c>--out</c> gives.</param>
    /// <param name="arguments">What follows as name=value.</param>
    public BatchScript Script(string input = "takes", string output = "delivered", IReadOnlyDictionary<string, string>? arguments = null) =>
        new(this, input, output, arguments ?? new Dictionary<string, string>(), CancellationToken.None);

    /// <inheritdoc/>
    public IReadOnlyList<BatchTake> FindTakes(string folder)
    {
        _calls.Add($"find {folder}");
        return Takes;
    }

    /// <inheritdoc/>
    public Task<BatchTake> PlanAsync(BatchPlanRequest request, string folder, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(request);
        cancellation.ThrowIfCancellationRequested();
        _calls.Add(FormattableString.Invariant($"plan {request.Layout} {request.Format.Width}x{request.Format.Height} {folder}"));
        return Task.FromResult(new BatchTake(Path.GetFileName(folder), Path.Combine(folder, "plan.json"), folder));
    }

    /// <inheritdoc/>
    public Task<BatchMosaic> MergeAsync(BatchTake take, string folder, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(take);
        cancellation.ThrowIfCancellationRequested();
        _calls.Add($"merge {take.Name} {folder}");
        return Task.FromResult(new BatchMosaic(take.Name, Path.Combine(folder, "mosaic.json"), Findings(take)));
    }

    /// <inheritdoc/>
    public Task<ExportReceipt> ExportAsync(BatchMosaic mosaic, string target, string folder, IReadOnlyDictionary<string, string>? parameters, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(mosaic);
        cancellation.ThrowIfCancellationRequested();
        _calls.Add($"export {mosaic.Take} {target} {folder}");
        return Task.FromResult(new ExportReceipt([new(mosaic.Take + ".out", 1000, new string('0', 64))]));
    }

    /// <inheritdoc/>
    public void Log(string message) => _log.Add(message);

    /// <inheritdoc/>
    public void Progress(double done, string what) => Done = done;
}
