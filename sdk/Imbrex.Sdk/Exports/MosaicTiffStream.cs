using System.Runtime.InteropServices;

namespace Imbrex.Sdk.Exports;

/// <summary>
/// A merged picture dressed as a plain TIFF file that can be read and sought but is never held: hand it to any imaging library
/// that reads from a stream. Not thread-safe; make one for each reader.
/// </summary>
public sealed class MosaicTiffStream : Stream
{
    private const int BufferTargetBytes = 4 << 20;

    private readonly IMosaicImage _image;
    private readonly byte[] _header;
    private readonly long _rowBytes;
    private readonly ushort[] _rows;
    private readonly int _rowsHeld;
    private int _firstRow = -1;
    private long _position;

    /// <summary>Dresses a picture.</summary>
    /// <param name="image">The picture.</param>
    public MosaicTiffStream(IMosaicImage image)
    {
        ArgumentNullException.ThrowIfNull(image);
        _image = image;
        _header = TiffHeader.Build(new TiffPicture
        {
            Width = image.Width,
            Height = image.Height,
            Bands = image.Bands,
            IccProfile = image.IccProfile,
            PixelsPerMm = image.PixelsPerMm,
        });
        _rowBytes = (long)image.Width * image.Bands * sizeof(ushort);
        _rowsHeld = (int)Math.Clamp(BufferTargetBytes / _rowBytes, 1, image.Height);
        _rows = new ushort[_rowsHeld * image.Width * image.Bands];
    }

    /// <inheritdoc/>
    public override bool CanRead => true;

    /// <inheritdoc/>
    public override bool CanSeek => true;

    /// <inheritdoc/>
    public override bool CanWrite => false;

    /// <inheritdoc/>
    public override long Length => _header.Length + _rowBytes * _image.Height;

    /// <inheritdoc/>
    public override long Position
    {
        get => _position;
        set
        {
            ArgumentOutOfRangeException.ThrowIfNegative(value);
            _position = value;
        }
    }

    /// <inheritdoc/>
    public override int Read(byte[] buffer, int offset, int count)
    {
        ValidateBufferArguments(buffer, offset, count);
        return Read(buffer.AsSpan(offset, count));
    }

    /// <inheritdoc/>
    public override int Read(Span<byte> buffer)
    {
        int done = 0;
        while (done < buffer.Length && _position < Length)
        {
            ReadOnlySpan<byte> source = Available();
            int part = Math.Min(source.Length, buffer.Length - done);
            source[..part].CopyTo(buffer[done..]);
            _position += part;
            done += part;
        }
        return done;
    }

    /// <inheritdoc/>
    public override long Seek(long offset, SeekOrigin origin) => Position = origin switch
    {
        SeekOrigin.Begin => offset,
        SeekOrigin.Current => _position + offset,
        _ => Length + offset,
    };

    /// <inheritdoc/>
    public override void Flush()
    {
    }

    /// <inheritdoc/>
    public override void SetLength(long value) => throw new NotSupportedException("The stream is read-only.");

    /// <inheritdoc/>
    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException("The stream is read-only.");

    // What is at hand from the current position on: the rest of the header, or of the rows in the buffer.
    private ReadOnlySpan<byte> Available()
    {
        if (_position < _header.Length)
            return _header.AsSpan((int)_position);
        long inPixels = _position - _header.Length;
        int row = (int)(inPixels / _rowBytes);
        int first = row - row % _rowsHeld;
        int rows = Math.Min(_rowsHeld, _image.Height - first);
        Span<ushort> held = _rows.AsSpan(0, rows * _image.Width * _image.Bands);
        if (first != _firstRow)
        {
            _firstRow = -1;
            _image.ReadBlock(0, first, _image.Width, rows, held);
            _firstRow = first;
        }
        return MemoryMarshal.AsBytes(held)[(int)(inPixels - first * _rowBytes)..];
    }
}
