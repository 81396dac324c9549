using System.Buffers;
using System.Runtime.InteropServices;
using Imbrex.Sdk;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Intake;

/// <summary>
/// The pixels of one frame as they stand upright: 16-bit RGB, read block by block from plain rows on disk and turned on the way.
/// Safe to read from several threads.
/// </summary>
public sealed class Frame : IDisposable
{
    /// <summary>R, G, B.</summary>
    public const int Bands = 3;

    private readonly SafeFileHandle _file;
    private readonly long _pixelsAt;
    private readonly string _path;

    /// <summary>Makes a frame of plain rows.</summary>
    /// <param name="path">File that holds the rows, 16-bit little-endian RGB.</param>
    /// <param name="pixelsAt">Byte position of the first sample.</param>
    /// <param name="storedWidth">Stored pixels across.</param>
    /// <param name="storedHeight">Stored pixels down.</param>
    /// <param name="quarterTurns">Quarter turns clockwise from stored to upright, 0 to 3.</param>
    public Frame(string path, long pixelsAt, int storedWidth, int storedHeight, int quarterTurns)
    {
        _path = path;
        _file = File.OpenHandle(path, options: FileOptions.RandomAccess);
        _pixelsAt = pixelsAt;
        (StoredWidth, StoredHeight, QuarterTurns) = (storedWidth, storedHeight, quarterTurns & 3);
    }

    public int StoredWidth { get; }

    public int StoredHeight { get; }

    /// <summary>Quarter turns clockwise from stored to upright; settled before pixels are used.</summary>
    public int QuarterTurns { get; private set; }

    /// <summary>Pixels across, standing upright.</summary>
    public int Width => (QuarterTurns & 1) == 0 ? StoredWidth : StoredHeight;

    /// <summary>Pixels down, standing upright.</summary>
    public int Height => (QuarterTurns & 1) == 0 ? StoredHeight : StoredWidth;

    /// <summary>Centre of the upright frame; pixel centres lie at whole numbers.</summary>
    public double CentreX => (Width - 1) / 2.0;

    /// <inheritdoc cref="CentreX"/>
    public double CentreY => (Height - 1) / 2.0;

    /// <summary>Bytes of plain rows of so many pixels.</summary>
    public static long PlainBytes(int width, int height) => (long)width * height * Bands * sizeof(ushort);

    /// <summary>Turns the frame upside down: the alternative when the file lies about its orientation.</summary>
    public void TurnOver() => QuarterTurns = (QuarterTurns + 2) & 3;

    /// <summary>Byte position of the first sample in the file that holds the rows.</summary>
    internal long PixelsAt => _pixelsAt;

    /// <summary>Whether the rows are read from this very file.</summary>
    internal bool LiesIn(string path) => _path == path;

    /// <summary>Reads whole rows as they are stored, not turned.</summary>
    /// <param name="row">First row.</param>
    /// <param name="samples">Receives as many rows as it has room for.</param>
    /// <exception cref="InputException">The file went away.</exception>
    internal void ReadStoredRows(int row, Span<ushort> samples) =>
        Fill(MemoryMarshal.AsBytes(samples), _pixelsAt + PlainBytes(StoredWidth, 1) * row);

    /// <summary>Reads a block of the upright frame.</summary>
    /// <param name="x">First column.</param>
    /// <param name="y">First row.</param>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="samples">Receives width * height * 3 samples.</param>
    /// <exception cref="InputException">The file went away.</exception>
    public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
    {
        if (x < 0 || y < 0 || width < 1 || height < 1 || x + width > Width || y + height > Height)
            throw new ArgumentOutOfRangeException(nameof(x), $"Block {width} x {height} at ({x}, {y}) leaves the frame of {Width} x {Height}.");
        (int w, int h) = (StoredWidth, StoredHeight);
        switch (QuarterTurns)
        {
            case 0:
                ReadStored(x, y, width, height, samples);
                break;
            case 1: // upright (x, y) is stored (y, h-1-x)
                ReadTurned(y, h - x - width, height, width, samples, first: (width - 1) * height, columnStep: -height, rowStep: 1, width, height);
                break;
            case 2:
                ReadTurned(w - x - width, h - y - height, width, height, samples, first: width * height - 1, columnStep: -1, rowStep: -width, width, height);
                break;
            default: // upright (x, y) is stored (w-1-y, x)
                ReadTurned(w - y - height, x, height, width, samples, first: height - 1, columnStep: height, rowStep: -1, width, height);
                break;
        }
    }

    public void Dispose() => _file.Dispose();

    private void ReadTurned(int sx, int sy, int sw, int sh, Span<ushort> samples, int first, int columnStep, int rowStep, int width, int height)
    {
        ushort[] stored = ArrayPool<ushort>.Shared.Rent(sw * sh * Bands);
        try
        {
            ReadStored(sx, sy, sw, sh, stored);
            int target = 0;
            for (int row = 0; row < height; row++)
            {
                int source = (first + row * rowStep) * Bands;
                for (int column = 0; column < width; column++, source += columnStep * Bands, target += Bands)
                {
                    samples[target] = stored[source];
                    samples[target + 1] = stored[source + 1];
                    samples[target + 2] = stored[source + 2];
                }
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(stored);
        }
    }

    private void ReadStored(int x, int y, int width, int height, Span<ushort> samples)
    {
        long rowBytes = (long)StoredWidth * Bands * sizeof(ushort);
        long at = _pixelsAt + y * rowBytes + (long)x * Bands * sizeof(ushort);
        Span<byte> bytes = MemoryMarshal.AsBytes(samples[..(width * height * Bands)]);
        if (width == StoredWidth)
        {
            Fill(bytes, at);
            return;
        }
        int part = width * Bands * sizeof(ushort);
        for (int row = 0; row < height; row++)
            Fill(bytes.Slice(row * part, part), at + row * rowBytes);
    }

    private void Fill(Span<byte> bytes, long at)
    {
        while (bytes.Length > 0)
        {
            int read = RandomAccess.Read(_file, bytes, at);
            if (read == 0)
                throw new InputException("The frame became shorter while it was read.", _path, "Leave the frames and the output folder alone during a merge.");
            bytes = bytes[read..];
            at += read;
        }
    }
}
