using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Keeps the cells of a few frames in memory and those of the others in a scratch file, so that memory does not grow with the number of frames: when one more is
/// put in, the one that has been in longest goes out, and it comes back when it is asked for. The file is made when it is first needed and goes when the
/// shelf is disposed of. Safe to use from several threads; who holds an array may go on reading it.
/// </summary>
/// <param name="path">The scratch file; it is not there yet.</param>
/// <param name="mostHeld">Most frames held.</param>
internal sealed class CellShelf(string path, int mostHeld) : IDisposable
{
    private readonly Lock _gate = new();
    private readonly Queue<CellPicture> _held = new();
    private readonly Dictionary<CellPicture, long> _stored = [];
    private SafeFileHandle? _file;
    private long _end;

    /// <summary>Frames that should be held for so many workers: the two of each one's pair, and some to stay for the next.</summary>
    public static int MostHeldFor(int workers) => 2 * workers + 4;

    /// <summary>Takes in a frame whose cells have all been read and will not change.</summary>
    public void Put(CellPicture picture)
    {
        lock (_gate)
            Hold(picture);
    }

    /// <summary>Brings back the cells of a frame that went out.</summary>
    /// <exception cref="InputException">The scratch file went away.</exception>
    public ushort[][] Fetch(CellPicture picture)
    {
        lock (_gate)
        {
            // Somebody else may have done so meanwhile.
            if (picture.Held is { } held)
                return held;
            ushort[][] codes = picture.NewCodes();
            long at = _stored[picture];
            foreach (ushort[] band in codes)
                at = Read(MemoryMarshal.AsBytes(band.AsSpan()), at);
            picture.Held = codes;
            Hold(picture);
            return codes;
        }
    }

    public void Dispose() => _file?.Dispose();

    private void Hold(CellPicture picture)
    {
        _held.Enqueue(picture);
        while (_held.Count > mostHeld)
        {
            CellPicture oldest = _held.Dequeue();
            Store(oldest);
            oldest.Held = null;
        }
    }

    // Once is enough: cells do not change.
    private void Store(CellPicture picture)
    {
        if (!_stored.TryAdd(picture, _end))
            return;
        try
        {
            _file ??= File.OpenHandle(path, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, FileOptions.DeleteOnClose);
            foreach (ushort[] band in picture.Held!)
            {
                RandomAccess.Write(_file, MemoryMarshal.AsBytes(band.AsSpan()), _end);
                _end += band.Length * (long)sizeof(ushort);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(path, e);
        }
    }

    private long Read(Span<byte> bytes, long at)
    {
        while (bytes.Length > 0)
        {
            int read = RandomAccess.Read(_file!, bytes, at);
            if (read == 0)
                throw new InputException("A scratch file became shorter while it was read.", path, "Leave the output folder alone during a merge.");
            bytes = bytes[read..];
            at += read;
        }
        return at;
    }
}
