using System.Runtime.InteropServices;
using Imbrex.Engine.Documents;
using Microsoft.Win32.SafeHandles;

namespace Imbrex.Engine.Simulation;

/// <summary>A TIFF that several threads fill by position; it gets its name only once it is complete.</summary>
internal sealed class FrameFile : IDisposable
{
    private readonly string _path;
    private readonly string _temporary;
    private readonly int _pixelsAt;
    private readonly SafeFileHandle _handle;
    private bool _complete;

    public FrameFile(string path, ReadOnlySpan<byte> header, long pixelBytes)
    {
        (_path, _temporary, _pixelsAt) = (path, path + OutputFile.TemporarySuffix, header.Length);
        try
        {
            _handle = File.OpenHandle(_temporary, FileMode.Create, FileAccess.Write, FileShare.None, FileOptions.None, header.Length + pixelBytes);
            RandomAccess.Write(_handle, header, 0);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _handle?.Dispose();
            OutputFile.TryDelete(_temporary);
            throw OutputFile.NotWritable(path, e);
        }
    }

    /// <summary>Writes samples at a place counted in samples from the first pixel.</summary>
    public void Write(long at, ReadOnlySpan<ushort> samples)
    {
        try
        {
            RandomAccess.Write(_handle, MemoryMarshal.AsBytes(samples), _pixelsAt + at * sizeof(ushort));
        }
        catch (IOException e)
        {
            throw OutputFile.NotWritable(_path, e);
        }
    }

    public void Complete()
    {
        try
        {
            RandomAccess.FlushToDisk(_handle);
            _handle.Dispose();
            File.Move(_temporary, _path, overwrite: true);
            _complete = true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(_path, e);
        }
    }

    public void Dispose()
    {
        _handle.Dispose();
        if (!_complete)
            OutputFile.TryDelete(_temporary);
    }
}
