using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Parameters;
using Imbrex.Sdk.Testing.Fakes;

namespace Imbrex.Sdk.Testing.Conformance;

/// <summary>One export into a folder of its own, and what is then to be seen there.</summary>
internal sealed class ExportTrial(IExportTarget target, FakeMosaicImage image, ParameterValues values, ExportConformanceOptions options, FindingList findings)
{
    private const string Neighbour = "neighbour.txt", Untouched = "This file belongs to the host.";
    private readonly List<double> _progress = [];
    private readonly string _with = $"{LegalValues.InWords(values)}; picture {image.Width} x {image.Height}, {image.Bands} bands";

    public FakeMosaicImage Image => image;

    public bool IsEndless { get; private set; }

    /// <summary>Exports, and checks receipt, folder and progress.</summary>
    /// <returns>Whether the target served the request.</returns>
    public async Task<bool> RunAsync(bool isOrdinary)
    {
        using var scratch = new ScratchFolder();
        Outcome<ExportReceipt> outcome = await ExportAsync(scratch.Path, CancellationToken.None).ConfigureAwait(false);
        CheckSurroundings(scratch.Path);
        switch (outcome)
        {
            case Outcome<ExportReceipt>.Thrown { Exception: RefusalException refusal }:
                findings.Require(!isOrdinary, ConformanceRule.DefaultsServe, $"The ordinary picture is refused: {refusal.Message}", _with, "Choose defaults that work.");
                RefusalCheck.Check(refusal, needsNumber: true, _with, findings);
                break;
            case Outcome<ExportReceipt>.Thrown { Exception: var e }:
                findings.Add(ConformanceRule.NoOtherException, $"ExportAsync throws {e.GetType().Name}: {e.Message}", _with, "Write the files, or throw a RefusalException with the number that fails and what would work.");
                break;
            case Outcome<ExportReceipt>.Result { Value: var receipt }:
                await CheckReceiptAsync(Folder(scratch.Path), receipt).ConfigureAwait(false);
                CheckProgress();
                return true;
        }
        return false;
    }

    /// <summary>Exports with a token that is or will be cancelled.</summary>
    /// <param name="source">The token's source.</param>
    /// <param name="cancelled">When it was cancelled, in milliseconds of the system's clock; 0 if it never was.</param>
    public async Task CancelAsync(CancellationTokenSource source, Func<long> cancelled)
    {
        using var scratch = new ScratchFolder();
        Outcome<ExportReceipt> outcome = await ExportAsync(scratch.Path, source.Token).ConfigureAwait(false);
        if (cancelled() == 0)
            return;
        long late = Environment.TickCount64 - cancelled();
        bool heard = outcome is Outcome<ExportReceipt>.Thrown { Exception: OperationCanceledException };
        findings.Require(heard, ConformanceRule.CancellationIsHeard, outcome is Outcome<ExportReceipt>.Thrown { Exception: var e } ? $"A cancelled export ends with {e.GetType().Name}." : "A cancelled export goes on to its end.", _with,
            "Call cancellation.ThrowIfCancellationRequested() between two blocks.");
        findings.Require(!heard || late <= options.CancellationPatience.TotalMilliseconds, ConformanceRule.CancellationIsHeard, $"A cancelled export works on for {late} ms.", _with, "Ask between smaller blocks.");
    }

    /// <summary>Exports a picture that breaks off.</summary>
    public async Task BreakAsync(string fault)
    {
        using var scratch = new ScratchFolder();
        Outcome<ExportReceipt> outcome = await ExportAsync(scratch.Path, CancellationToken.None).ConfigureAwait(false);
        findings.Require(outcome is Outcome<ExportReceipt>.Thrown { Exception: InputException { Message: var told } } && told == fault, ConformanceRule.FaultOfThePictureIsTold,
            outcome is Outcome<ExportReceipt>.Thrown { Exception: var e } ? $"A picture that cannot be read ends with {e.GetType().Name}: {e.Message}" : "A picture that cannot be read is exported all the same.", _with,
            "Let exceptions of ReadBlock pass.");
    }

    /// <summary>Holds the target to progress on the way, on a picture that takes a while.</summary>
    public void RequireProgress()
    {
        lock (_progress)
            findings.Require(IsEndless || _progress.Count >= 3, ConformanceRule.ProgressRises, $"A large picture is told of {_progress.Count} times.", _with, "Report the done part after every block.");
    }

    private static string Folder(string scratch) => Path.Combine(scratch, "export");

    private async Task<Outcome<ExportReceipt>> ExportAsync(string scratch, CancellationToken cancellation)
    {
        Directory.CreateDirectory(Folder(scratch));
        await File.WriteAllTextAsync(Path.Combine(scratch, Neighbour), Untouched, CancellationToken.None).ConfigureAwait(false);
        var request = new ExportRequest { Image = image, Folder = Folder(scratch), BaseName = "quarry", Parameters = values };
        var work = Task.Run(() => target.ExportAsync(request, new Immediate(_progress), cancellation), CancellationToken.None);
        if (await Task.WhenAny(work, Task.Delay(options.Patience, CancellationToken.None)).ConfigureAwait(false) != work)
        {
            IsEndless = true;
            findings.Add(ConformanceRule.CallsEnd, "ExportAsync does not come back.", _with, "Look for a task that nobody completes or a loop without an end.");
            return new Outcome<ExportReceipt>.Endless();
        }
        return Call.Caught(() => work.GetAwaiter().GetResult());
    }

    private void CheckSurroundings(string scratch)
    {
        string[] beside = [.. Directory.EnumerateFileSystemEntries(scratch).Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal)];
        bool kept = beside.SequenceEqual(["export", Neighbour]) && File.ReadAllText(Path.Combine(scratch, Neighbour)) == Untouched;
        findings.Require(kept, ConformanceRule.FolderIsKept, $"Beside the export's folder there is now: {string.Join(", ", beside)}; or a file there was changed.", _with, "Write into request.Folder only, and remove temporary files.");
    }

    private async Task CheckReceiptAsync(string folder, ExportReceipt receipt)
    {
        const string remedy = "List every file with ExportedFile.MeasureAsync after it is closed.";
        if (receipt?.Files is not { Count: > 0 } files)
        {
            findings.Add(ConformanceRule.ReceiptIsTrue, "The receipt is empty.", _with, remedy);
            return;
        }
        foreach (ExportedFile file in files)
        {
            bool plain = !Path.IsPathRooted(file.Path) && !file.Path.Contains('\\', StringComparison.Ordinal) && !file.Path.Split('/').Any(part => part is "" or "." or "..");
            string? wrong = !plain ? "is no plain relative name"
                : !File.Exists(Path.Combine(folder, file.Path)) ? "is not there"
                : await ExportedFile.MeasureAsync(folder, file.Path, CancellationToken.None).ConfigureAwait(false) is var found && found != file ? $"has {found.Bytes} bytes and SHA-256 {found.Sha256}, and the receipt says {file.Bytes} and {file.Sha256}"
                : null;
            findings.Require(wrong is null, ConformanceRule.ReceiptIsTrue, $"{file.Path} {wrong}.", _with, remedy);
        }
        string[] unlisted = [.. Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Select(path => Path.GetRelativePath(folder, path).Replace('\\', '/')).Except(files.Select(file => file.Path))];
        findings.Require(unlisted.Length == 0, ConformanceRule.ReceiptIsTrue, $"{string.Join(", ", unlisted)} is written and not in the receipt.", _with, remedy);
        findings.Require(files.Select(file => file.Path).Distinct(StringComparer.Ordinal).Count() == files.Count, ConformanceRule.ReceiptIsTrue, "A file is in the receipt twice.", _with, remedy);
    }

    private void CheckProgress()
    {
        double[] told;
        lock (_progress)
            told = [.. _progress];
        bool rises = told.All(part => part is >= 0 and <= 1) && told.Zip(told.Skip(1), (a, b) => b >= a).All(yes => yes) && told is [.., 1.0];
        findings.Require(rises, ConformanceRule.ProgressRises, $"Progress went {string.Join(", ", told.Take(8).Select(part => FormattableString.Invariant($"{part:0.###}")))}{(told.Length > 8 ? FormattableString.Invariant($", ..., {told[^1]:0.###}") : "")}.", _with,
            "Report parts from 0 to 1, never less than before, and 1 at the end.");
    }

    private sealed class Immediate(List<double> told) : IProgress<double>
    {
        public void Report(double value)
        {
            lock (told)
                told.Add(value);
        }
    }
}
