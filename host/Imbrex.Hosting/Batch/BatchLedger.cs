using System.Text.Json;
using System.Text.Json.Serialization;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Batch;

/// <summary>
/// Which steps of a batch are done: <c>batch.json</c> in its output folder, written anew after every step. A step counts as done if
/// its inputs have the same hash as then and its files are still there with the same length.
/// </summary>
public sealed class BatchLedger
{
    /// <summary>The ledger's file name.</summary>
    public const string FileName = "batch.json";

    private const string SchemaName = "imbrex/batch/1";

    private readonly string _folder;
    private readonly Dictionary<(string Step, string Folder), LedgerEntry> _entries;

    private BatchLedger(string folder, IEnumerable<LedgerEntry> entries) =>
        (_folder, _entries) = (folder, entries.ToDictionary(entry => (entry.Step, entry.Folder)));

    /// <summary>Reads the ledger of an output folder, or begins one.</summary>
    /// <exception cref="InputException">The file there is no ledger of ours.</exception>
    public static BatchLedger Open(string folder)
    {
        string path = Path.Combine(folder, FileName);
        if (!File.Exists(path))
            return new(folder, []);
        try
        {
            LedgerFile file = JsonSerializer.Deserialize<LedgerFile>(File.ReadAllBytes(path), JsonDocuments.Options) ?? throw new JsonException("null");
            if (file.Schema != SchemaName || file.Steps.Any(step => step is null || step.Files.Any(written => written is null)))
                throw new JsonException(file.Schema);
            return new(folder, file.Steps.DistinctBy(entry => (entry.Step, entry.Folder)));
        }
        catch (Exception e) when (e is JsonException or IOException or UnauthorizedAccessException)
        {
            throw new InputException("The batch's ledger cannot be read.", path, "Remove it to begin again, or choose another --out.", e);
        }
    }

    internal BatchMosaic? FindMerge(string folder, string inputs) => Find("merge", folder, inputs) is { } entry
        ? new(entry.Take, Path.Combine(folder, entry.Files[0].Path), entry.Findings ?? [])
        : null;

    internal ExportReceipt? FindExport(string folder, string inputs) => Find("export", folder, inputs) is { } entry
        ? new([.. entry.Files.Select(file => new ExportedFile(file.Path, file.Bytes, file.Sha256 ?? ""))])
        : null;

    internal void Record(BatchMosaic mosaic, string folder, string inputs)
    {
        // mosaic.json first: it is what the next step starts from. The ledger itself may lie here too.
        IEnumerable<string> others = Directory.EnumerateFiles(folder)
            .Where(path => Path.GetFileName(path) != FileName && Path.GetFullPath(path) != Path.GetFullPath(mosaic.MosaicFile));
        LedgerFilePart[] files = [.. others.Order(StringComparer.Ordinal).Prepend(mosaic.MosaicFile)
            .Select(path => new LedgerFilePart(Path.GetRelativePath(folder, path), new FileInfo(path).Length))];
        Record(new("merge", mosaic.Take, Relative(folder), inputs, files) { Findings = mosaic.Findings });
    }

    internal void Record(ExportReceipt receipt, string take, string folder, string inputs) => Record(new(
        "export", take, Relative(folder), inputs, [.. receipt.Files.Select(file => new LedgerFilePart(file.Path, file.Bytes) { Sha256 = file.Sha256 })]));

    private void Record(LedgerEntry entry)
    {
        _entries[(entry.Step, entry.Folder)] = entry;
        LedgerEntry[] sorted = [.. _entries.Values.OrderBy(e => e.Folder, StringComparer.Ordinal).ThenBy(e => e.Step, StringComparer.Ordinal)];
        byte[] bytes = JsonSerializer.SerializeToUtf8Bytes(new LedgerFile(SchemaName, sorted), JsonDocuments.Options);
        OutputFile.Write(Path.Combine(_folder, FileName), [.. bytes, (byte)'\n']);
    }

    private LedgerEntry? Find(string step, string folder, string inputs) =>
        _entries.TryGetValue((step, Relative(folder)), out LedgerEntry? entry) && entry.Inputs == inputs && entry.Files.Count > 0
        && entry.Files.All(file => new FileInfo(Path.Combine(folder, file.Path)) is { Exists: true } there && there.Length == file.Bytes)
            ? entry
            : null;

    private string Relative(string folder) => Path.GetRelativePath(_folder, folder).Replace('\\', '/');

    private sealed record LedgerFile(
        [property: JsonRequired] string Schema,
        [property: JsonRequired] IReadOnlyList<LedgerEntry> Steps);

    private sealed record LedgerEntry(
        [property: JsonRequired] string Step,
        [property: JsonRequired] string Take,
        [property: JsonRequired] string Folder,
        [property: JsonRequired] string Inputs,
        [property: JsonRequired] IReadOnlyList<LedgerFilePart> Files)
    {
        public IReadOnlyList<string>? Findings { get; init; }
    }

    private sealed record LedgerFilePart([property: JsonRequired] string Path, [property: JsonRequired] long Bytes)
    {
        public string? Sha256 { get; init; }
    }
}
