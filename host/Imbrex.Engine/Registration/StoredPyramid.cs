using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Registration;

/// <summary>
/// A pyramid in a scratch file, so that memory does not grow with the number of frames. Levels lie one behind the other, the finest first, and are read part
/// by part; the file goes when it is closed. Safe to read from several threads.
/// </summary>
/// <remarks>Read by position and not mapped: a mapped file that is cut short ends the process.</remarks>
internal sealed class StoredPyramid : IReducedFrame, IDisposable
{
    private readonly string _path;
    private readonly SafeFileHandle _file;
    private readonly Level[] _levels;

    /// <summary>Writes a pyramid.</summary>
    /// <param name="path">A file that is not there yet.</param>
    /// <param name="pyramid">The pyramid.</param>
    /// <exception cref="InputException">The disk is full, or the file cannot be written.</exception>
    public StoredPyramid(string path, GrayPyramid pyramid)
    {
        _path = path;
        _levels = new Level[pyramid.Levels.Count];
        long at = 0;
        for (int i = 0; i < _levels.Length; i++)
        {
            GrayImage image = pyramid.Levels[i];
            _levels[i] = new(this, at, image.Width, image.Height);
            at += image.Pixels.Length * (long)sizeof(float);
        }
        try
        {
            _file = File.OpenHandle(path, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, FileOptions.DeleteOnClose, preallocationSize: at);
            for (int i = 0; i < _levels.Length; i++)
                RandomAccess.Write(_file, MemoryMarshal.AsBytes(pyramid.Levels[i].Pixels.AsSpan()), _levels[i].At);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _file?.Dispose();
            throw OutputFile.NotWritable(path, e);
        }
    }

    /// <inheritdoc/>
    public IGreyPicture this[int level] => _levels[level - GrayPyramid.FinestLevel];

    /// <summary>Bytes that the pyramid of a frame takes at most, however many levels it has.</summary>
    public static long BytesFor(int width, int height) => (long)width * height / 3 + 4096;

    public void Dispose() => _file.Dispose();

    private void Fill(Span<byte> bytes, long at)
    {
        while (bytes.Length > 0)
        {
            int read = RandomAccess.Read(_file, bytes, at);
            if (read == 0)
                throw new InputException("A scratch file became shorter while it was read.", _path, "Leave the output folder alone during a merge.");
            bytes = bytes[read..];
            at += read;
        }
    }

    /// <summary>One level in the file.</summary>
    private sealed class Level(StoredPyramid pyramid, long at, int width, int height) : IGreyPicture
    {
        public long At => at;

        public int Width => width;

        public int Height => height;

        public GreyPart Read(Block area)
        {
            var part = GreyPart.Rent(area);
            try
            {
                Span<byte> bytes = MemoryMarshal.AsBytes(part.Pixels.AsSpan(0, area.Width * area.Height));
                int rowBytes = area.Width * sizeof(float), rows = area.Width == width ? area.Height : 1;
                for (int row = 0; row < area.Height; row += rows)
                    pyramid.Fill(bytes.Slice(row * rowBytes, rows * rowBytes), at + ((area.Y + row) * (long)width + area.X) * sizeof(float));
                return part;
            }
            catch
            {
                part.Dispose();
                throw;
            }
        }
    }
}
