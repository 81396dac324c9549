using System.Security.Cryptography;
using System.Text;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Batch;

/// <summary>One hash for all that a step of a batch starts from: if it changes, the step is done again.</summary>
internal static class InputHash
{
    private static readonly string[] Pictures = [".tif", ".tiff", ".jpg", ".jpeg", ".png"];

    /// <summary>The plan and every picture among the frames, with its name.</summary>
    public static async Task<string> OfTakeAsync(BatchTake take, CancellationToken cancellation)
    {
        var lines = new List<string> { await OfFileAsync(take.PlanFile, cancellation) };
        IEnumerable<string> frames = Directory.EnumerateFiles(take.FramesFolder, "*", SearchOption.AllDirectories)
            .Where(file => Pictures.Contains(Path.GetExtension(file), StringComparer.OrdinalIgnoreCase))
            .Order(StringComparer.Ordinal);
        foreach (string frame in frames)
            lines.Add($"{Path.GetRelativePath(take.FramesFolder, frame)}\n{await OfFileAsync(frame, cancellation)}");
        return OfText(lines);
    }

    /// <summary>The mosaic, the target and its parameters.</summary>
    public static async Task<string> OfExportAsync(
        BatchMosaic mosaic, string target, IReadOnlyDictionary<string, string> parameters, CancellationToken cancellation) =>
        OfText([
            await OfFileAsync(mosaic.MosaicFile, cancellation),
            target,
            .. parameters.OrderBy(pair => pair.Key, StringComparer.Ordinal).Select(pair => $"{pair.Key}={pair.Value}"),
        ]);

    public static async Task<string> OfFileAsync(string path, CancellationToken cancellation)
    {
        await using FileStream file = File.OpenRead(path);
        return Convert.ToHexStringLower(await SHA256.HashDataAsync(file, cancellation));
    }

    private static string OfText(IEnumerable<string> lines) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(string.Join('\n', lines))));
}
