using Imbrex.Sdk;
using Imbrex.Sdk.Exports;

namespace Imbrex.Engine.Delivery;

/// <summary>Compares a receipt with the files that are really there.</summary>
internal static class ReceiptCheck
{
    /// <exception cref="InputException">A file is missing, is not in the receipt, lies outside the folder, or differs.</exception>
    public static async Task VerifyAsync(string target, string folder, ExportReceipt receipt, IProgress<double> progress, CancellationToken cancellation)
    {
        InputException Broken(string what) => new($"The export target {target} broke its word: {what}", target, "Tell its author; nothing was delivered.");

        if (receipt?.Files is not { Count: > 0 } files)
            throw Broken("its receipt is empty.");
        var listed = new HashSet<string>(StringComparer.Ordinal);
        for (int i = 0; i < files.Count; i++)
        {
            (string path, long bytes, string sha256) = files[i];
            if (Path.IsPathRooted(path) || path.Split('/', '\\').Any(part => part is "" or "." or "..") || !listed.Add(path))
                throw Broken($"the receipt names \"{path}\", which is no plain name of its own below the folder.");
            if (!File.Exists(Path.Combine(folder, path)))
                throw Broken($"{path} is in the receipt and not in the folder.");
            ExportedFile found = await ExportedFile.MeasureAsync(folder, path, cancellation).ConfigureAwait(false);
            if (found.Bytes != bytes)
                throw Broken($"{path} has {found.Bytes} bytes, and the receipt says {bytes}.");
            if (!string.Equals(found.Sha256, sha256, StringComparison.Ordinal))
                throw Broken($"the SHA-256 of {path} is {found.Sha256}, and the receipt says {sha256}.");
            progress.Report((i + 1.0) / files.Count);
        }
        string? extra = Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories)
            .Select(file => Path.GetRelativePath(folder, file).Replace('\\', '/'))
            .FirstOrDefault(file => !listed.Contains(file));
        if (extra is not null)
            throw Broken($"{extra} is in the folder and not in the receipt.");
    }
}
