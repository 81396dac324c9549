using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Exports;

/// <summary>Writes a deliverable from a merged picture.</summary>
/// <remarks>
/// Implementations have a public constructor without parameters. They write into <see cref="ExportRequest.Folder"/> only, which is
/// a fresh folder that the host moves into place when the export is complete and throws away when it is not.
/// </remarks>
public interface IExportTarget
{
    /// <summary>Name, summary and parameters.</summary>
    PartDescription Description { get; }

    /// <summary>Writes the files of the deliverable.</summary>
    /// <param name="request">Picture, folder, base name and parameter values.</param>
    /// <param name="progress">Receives the done part, 0 to 1.</param>
    /// <param name="cancellation">Is heard within a second.</param>
    /// <returns>What was written.</returns>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    /// <exception cref="RefusalException">The picture does not fit this target, with the number that fails.</exception>
    Task<ExportReceipt> ExportAsync(ExportRequest request, IProgress<double> progress, CancellationToken cancellation);
}

/// <summary>What an export target is asked for.</summary>
public sealed record ExportRequest
{
    /// <summary>The picture.</summary>
    public required IMosaicImage Image { get; init; }

    /// <summary>The folder to write into; it exists.</summary>
    public required string Folder { get; init; }

    /// <summary>Name of the files without folder and extension.</summary>
    public required string BaseName { get; init; }

    /// <summary>Values of the target's own parameters.</summary>
    public ParameterValues Parameters { get; init; } = ParameterValues.None;
}

/// <summary>What an export wrote.</summary>
/// <param name="Files">Every file, in the order of writing.</param>
public sealed record ExportReceipt(IReadOnlyList<ExportedFile> Files);

/// <summary>One written file with its fixity.</summary>
/// <param name="Path">Path relative to the export's folder, with '/'.</param>
/// <param name="Bytes">Size.</param>
/// <param name="Sha256">SHA-256 (FIPS 180-4) in lower-case hexadecimal.</param>
public sealed record ExportedFile(string Path, long Bytes, string Sha256)
{
    /// <summary>Measures a file that has been written.</summary>
    /// <param name="folder">The export's folder.</param>
    /// <param name="path">Path relative to it, with '/'.</param>
    /// <param name="cancellation">Cancels the reading.</param>
    public static async Task<ExportedFile> MeasureAsync(string folder, string path, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(folder);
        ArgumentNullException.ThrowIfNull(path);
        await using FileStream file = File.OpenRead(System.IO.Path.Combine(folder, path));
        byte[] hash = await System.Security.Cryptography.SHA256.HashDataAsync(file, cancellation).ConfigureAwait(false);
        return new(path, file.Length, Convert.ToHexStringLower(hash));
    }
}
