using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Delivery;

/// <summary>A merged picture on disk, read by position; many threads may read at once, and nothing is held but the block asked for.</summary>
public sealed class MasterImage : IMosaicImage, IDisposable
{
    private readonly string _path;
    private readonly SafeFileHandle _file;
    private readonly PlainTiff _header;

    private MasterImage(string path, SafeFileHandle file, PlainTiff header, double pxPerMm) =>
        (_path, _file, _header, PixelsPerMm) = (path, file, header, pxPerMm);

    /// <summary>Opens the master that a mosaic.json names.</summary>
    /// <param name="mosaic">The document.</param>
    /// <param name="folder">The folder it lies in.</param>
    /// <exception cref="InputException">The master is missing, cut short, not ours, or not of the size that the document says.</exception>
    public static MasterImage Open(MosaicDocument mosaic, string folder)
    {
        ArgumentNullException.ThrowIfNull(mosaic);
        string path = Path.Combine(folder, mosaic.Master);
        SafeFileHandle? file = null;
        try
        {
            file = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.Read, FileOptions.RandomAccess);
            PlainTiff header = PlainTiff.Read(file, path);
            if ((header.Width, header.Height) != (mosaic.WidthPx, mosaic.HeightPx))
            {
                throw new InputException($"The master is {header.Width} x {header.Height} px, and mosaic.json says {mosaic.WidthPx} x {mosaic.HeightPx}.", path,
                    "They do not belong together; merge again.");
            }
            return new(path, file, header, mosaic.PxPerMm);
        }
        catch (Exception e)
        {
            file?.Dispose();
            if (e is IOException or UnauthorizedAccessException)
                throw NotReadable(path, e);
            throw;
        }
    }

    /// <inheritdoc/>
    public int Width => _header.Width;

    /// <inheritdoc/>
    public int Height => _header.Height;

    /// <inheritdoc/>
    public int Bands => _header.Bands;

    /// <inheritdoc/>
    public ReadOnlyMemory<byte> IccProfile => _header.IccProfile;

    /// <inheritdoc/>
    public double PixelsPerMm { get; }

    /// <inheritdoc/>
    public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(x);
        ArgumentOutOfRangeException.ThrowIfNegative(y);
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(width, Width - x);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(height, Height - y);
        ArgumentOutOfRangeException.ThrowIfLessThan(samples.Length, (long)width * height * Bands, nameof(samples));
        int row = width * Bands;
        // Whole rows lie behind one another and are one reading.
        (int readings, int length) = width == Width ? (1, row * height) : (height, row);
        for (int i = 0; i < readings; i++)
        {
            long at = _header.PixelsAt + ((long)(y + i) * Width + x) * Bands * sizeof(ushort);
            Fill(MemoryMarshal.AsBytes(samples.Slice(i * length, length)), at);
        }
    }

    /// <summary>Closes the file.</summary>
    public void Dispose() => _file.Dispose();

    private void Fill(Span<byte> bytes, long at)
    {
        try
        {
            while (bytes.Length > 0)
            {
                int read = RandomAccess.Read(_file, bytes, at);
                if (read == 0)
                    throw new InputException("The master has become shorter while it was being read.", _path, "Copy it again, or merge again.");
                bytes = bytes[read..];
                at += read;
            }
        }
        catch (IOException e)
        {
            throw NotReadable(_path, e);
        }
    }

    private static InputException NotReadable(string path, Exception cause) =>
        new($"Cannot read the master {path}: {cause.Message}", path, "Check that it lies beside mosaic.json and that you may read it.", cause);
}
