using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Imbrex.Sdk.Exports;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Imaging;

/// <summary>
/// A plain TIFF while it is being written: preallocated under a temporary name, so that a full disk is noticed before the work begins;
/// blocks are written by position from any thread. Unless <see cref="Complete"/> is reached, nothing is left.
/// </summary>
internal sealed class TiffWriter : IDisposable
{
    private readonly string _path;
    private readonly string _temporary;
    private readonly TiffPicture _picture;
    private readonly int _headerLength;
    private SafeFileHandle? _file;

    /// <summary>Makes the file at its full length and writes its head.</summary>
    /// <exception cref="Sdk.InputException">The folder cannot be written to, or the disk has no room.</exception>
    public TiffWriter(string path, TiffPicture picture)
    {
        (_path, _temporary, _picture) = (path, path + OutputFile.TemporarySuffix, picture);
        byte[] header = TiffHeader.Build(picture);
        _headerLength = header.Length;
        try
        {
            OutputFile.TryDelete(_temporary);
            _file = File.OpenHandle(_temporary, FileMode.CreateNew, FileAccess.Write, FileShare.None, FileOptions.None, header.Length + picture.PixelBytes);
            RandomAccess.Write(_file, header, 0);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Dispose();
            throw OutputFile.NotWritable(path, e);
        }
    }

    /// <summary>Writes a block of interleaved samples.</summary>
    /// <param name="x">First column.</param>
    /// <param name="y">First row.</param>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="samples">The samples, row after row.</param>
    /// <exception cref="Sdk.InputException">The disk failed.</exception>
    public void Write(int x, int y, int width, int height, ReadOnlySpan<ushort> samples)
    {
        int rowSamples = width * _picture.Bands;
        long rowBytes = (long)_picture.Width * _picture.Bands * sizeof(ushort);
        long at = _headerLength + y * rowBytes + (long)x * _picture.Bands * sizeof(ushort);
        try
        {
            for (int row = 0; row < height; row++)
                RandomAccess.Write(_file!, MemoryMarshal.AsBytes(samples.Slice(row * rowSamples, rowSamples)), at + row * rowBytes);
        }
        catch (IOException e)
        {
            throw OutputFile.NotWritable(_path, e);
        }
    }

    /// <summary>Flushes the file and gives it its own name.</summary>
    /// <exception cref="Sdk.InputException">The disk failed.</exception>
    public void Complete()
    {
        try
        {
            RandomAccess.FlushToDisk(_file!);
            _file!.Dispose();
            _file = null;
            File.Move(_temporary, _path, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(_path, e);
        }
    }

    public void Dispose()
    {
        _file?.Dispose();
        OutputFile.TryDelete(_temporary);
    }
}
