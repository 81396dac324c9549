using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Engine.Delivery;

/// <summary>
/// Runs an export target so that the destination gets a complete, verified deliverable or is left as it was: the target writes
/// into a fresh folder beside it, the receipt is checked against the files, and only then do they move into place.
/// </summary>
public static class ExportRunner
{
    /// <summary>Time that a target has to stop after a cancellation.</summary>
    public static readonly TimeSpan TimeToStop = TimeSpan.FromSeconds(2);

    /// <summary>Exports a picture.</summary>
    /// <param name="target">The target.</param>
    /// <param name="image">The picture.</param>
    /// <param name="destination">The folder for the deliverable; made if it is not there.</param>
    /// <param name="baseName">Name of the files without folder and extension.</param>
    /// <param name="parameters">The target's own parameters.</param>
    /// <param name="force">Whether to write into a folder that holds something already, replacing files of the same names only.</param>
    /// <param name="progress">Receives the done part.</param>
    /// <param name="cancellation">Cancels; nothing is left of the deliverable then.</param>
    /// <returns>What was written, checked.</returns>
    /// <exception cref="InputException">The destination holds something, cannot be written, or the target broke its word.</exception>
    /// <exception cref="RefusalException">The target refuses the picture.</exception>
    /// <exception cref="LeftBehindException">Cancelled, and the target does not stop.</exception>
    public static async Task<ExportReceipt> RunAsync(IExportTarget target, IMosaicImage image, string destination, string baseName,
        ParameterValues parameters, bool force = false, IProgress<StageProgress>? progress = null, CancellationToken cancellation = default)
    {
        ArgumentNullException.ThrowIfNull(target);
        destination = Path.TrimEndingDirectorySeparator(Path.GetFullPath(destination));
        if (File.Exists(destination))
            throw new InputException($"{destination} is a file.", destination, "Name a folder for the deliverable.");
        if (!force && Directory.Exists(destination) && Directory.EnumerateFileSystemEntries(destination).Any())
            throw new InputException($"{destination} holds something already.", destination, "Choose another folder, or add --force to replace files of the same names.");
        string workshop = MakeWorkshop(destination);
        try
        {
            var request = new ExportRequest { Image = image, Folder = workshop, BaseName = baseName, Parameters = parameters };
            ExportReceipt receipt = await Called(target, request, new Stage("exporting", progress), cancellation).ConfigureAwait(false);
            await ReceiptCheck.VerifyAsync(target.Description.Name, workshop, receipt, new Stage("verifying", progress), cancellation).ConfigureAwait(false);
            MoveInto(destination, workshop);
            return receipt;
        }
        finally
        {
            TryDelete(workshop);
        }
    }

    // A target that does not hear a cancellation cannot be ended: it is given a moment, and left behind. It may block before it gives back a task, so it begins on another thread.
    private static async Task<ExportReceipt> Heard(IExportTarget target, ExportRequest request, Stage progress, CancellationToken cancellation)
    {
        // Threads of the pool do not keep the program from ending.
        Task<ExportReceipt> exporting = Task.Run(async () => target.ExportAsync(request, progress, cancellation) is { } begun ? await begun.ConfigureAwait(false) : null!, CancellationToken.None);
        var cancelled = new TaskCompletionSource();
        using (cancellation.UnsafeRegister(static source => ((TaskCompletionSource)source!).TrySetResult(), cancelled))
            await Task.WhenAny(exporting, cancelled.Task).ConfigureAwait(false);
        if (!exporting.IsCompleted && await Task.WhenAny(exporting, Task.Delay(TimeToStop, CancellationToken.None)).ConfigureAwait(false) != exporting)
            throw new LeftBehindException(target.Description.Name, request.Folder);
        return await exporting.ConfigureAwait(false);
    }

    // What a target throws of its own accord is a fault of the target, and is told with its name.
    private static async Task<ExportReceipt> Called(IExportTarget target, ExportRequest request, Stage progress, CancellationToken cancellation)
    {
        try
        {
            return await Heard(target, request, progress, cancellation).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not (ImbrexException or OperationCanceledException))
        {
            if (e is IOException or UnauthorizedAccessException)
                throw OutputFile.NotWritable(request.Folder, e);
            throw new InputException($"The export target {target.Description.Name} failed: {e.Message}", target.Description.Name, "Tell its author; --debug shows where.", e);
        }
    }

    private static string MakeWorkshop(string destination)
    {
        try
        {
            for (int i = 1; ; i++)
            {
                string folder = FormattableString.Invariant($"{destination}{OutputFile.TemporarySuffix}{(i == 1 ? "" : "-" + i)}");
                if (Directory.Exists(folder) || File.Exists(folder))
                    continue;
                Directory.CreateDirectory(folder);
                return folder;
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(destination, e);
        }
    }

    private static void MoveInto(string destination, string workshop)
    {
        try
        {
            if (!Directory.Exists(destination))
            {
                Directory.Move(workshop, destination);
                return;
            }
            foreach (string file in Directory.EnumerateFiles(workshop, "*", SearchOption.AllDirectories))
            {
                string place = Path.Combine(destination, Path.GetRelativePath(workshop, file));
                Directory.CreateDirectory(Path.GetDirectoryName(place)!);
                File.Move(file, place, overwrite: true);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(destination, e);
        }
    }

    private static void TryDelete(string workshop)
    {
        try
        {
            if (Directory.Exists(workshop))
                Directory.Delete(workshop, recursive: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The folder stays behind under its temporary name, which says what it is.
        }
    }

    private sealed class Stage(string name, IProgress<StageProgress>? progress) : IProgress<double>
    {
        public void Report(double value) => progress?.Report(new(name, value));
    }
}
