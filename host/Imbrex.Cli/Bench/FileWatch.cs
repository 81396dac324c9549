using System.Security.Cryptography;

namespace Imbrex.Cli.Bench;

/// <summary>
/// Watches a file's contents. The folder is watched rather than the file, because editors save by writing a new file and renaming it over the old one;
/// what comes in quick succession counts once, and only when the bytes have changed.
/// </summary>
internal sealed class FileWatch : IDisposable
{
    // Long enough for an editor to finish a save, short enough not to be felt.
    private static readonly TimeSpan Quiet = TimeSpan.FromMilliseconds(25);

    // Some file systems (network shares, mounted folders) tell nothing: look there now and then.
    private static readonly TimeSpan Look = TimeSpan.FromSeconds(1);

    private readonly string _path;
    private readonly Action _changed;
    private readonly FileSystemWatcher _watcher;
    private readonly Timer _timer;
    private readonly Lock _lock = new();
    private byte[] _hash;

    /// <param name="path">The file.</param>
    /// <param name="changed">Called on a thread of the pool, never twice at once.</param>
    public FileWatch(string path, Action changed)
    {
        (_path, _changed) = (Path.GetFullPath(path), changed);
        _hash = Hash() ?? [];
        _timer = new(_ => Compare(), null, Look, Look);
        _watcher = new(Path.GetDirectoryName(_path)!) { NotifyFilter = NotifyFilters.FileName | NotifyFilters.LastWrite | NotifyFilters.Size };
        _watcher.Changed += Heard;
        _watcher.Created += Heard;
        _watcher.Renamed += Heard;
        _watcher.EnableRaisingEvents = true;
    }

    public void Dispose()
    {
        _watcher.Dispose();
        _timer.Dispose();
    }

    private void Heard(object sender, FileSystemEventArgs e)
    {
        if (Path.GetFileName(e.FullPath) == Path.GetFileName(_path))
            _timer.Change(Quiet, Look);
    }

    private void Compare()
    {
        lock (_lock)
        {
            // Between deletion and renaming there is no file for a moment: the old state stands until there is one again.
            if (Hash() is not { } hash || hash.AsSpan().SequenceEqual(_hash))
                return;
            _hash = hash;
            _changed();
        }
    }

    private byte[]? Hash()
    {
        try
        {
            using FileStream file = new(_path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            return SHA256.HashData(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
