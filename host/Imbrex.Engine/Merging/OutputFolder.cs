using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Merging;

/// <summary>The folder of a result: made if need be. If the work fails, the files it owns are gone, and so are the folders that were made for them.</summary>
public sealed class OutputFolder : IDisposable
{
    private readonly IReadOnlyList<string> _made;
    private readonly bool _removeContent;
    private readonly List<string> _owned = [];
    private readonly FileStream _hold;
    private bool _kept;

    private OutputFolder(IReadOnlyList<string> made, bool removeContent, FileStream hold) => (_made, _removeContent, _hold) = (made, removeContent, hold);

    /// <summary>Opens or makes the folder, and keeps other runs out of it until it is disposed of.</summary>
    /// <param name="path">The folder.</param>
    /// <param name="removeContent">Whether a folder made for the work goes with all that is in it, rather than only if it is empty.</param>
    /// <exception cref="Sdk.InputException">It cannot be made or written to, is a file, or another run is writing into it.</exception>
    public static OutputFolder Open(string path, bool removeContent = false)
    {
        try
        {
            var made = new List<string>();
            for (string? folder = Path.GetFullPath(path); folder is not null && !Directory.Exists(folder); folder = Path.GetDirectoryName(folder))
                made.Add(folder);
            OutputFile.MakeFolder(path);
            return new(made, removeContent, Hold(path));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(path, e);
        }
    }

    /// <summary>Remembers a file that goes if the work fails after it was written.</summary>
    public void Own(string path) => _owned.Add(path);

    /// <summary>The work is done: everything stays.</summary>
    public void Keep() => _kept = true;

    public void Dispose()
    {
        if (!_kept)
            _owned.ForEach(OutputFile.TryDelete);
        _hold.Dispose();
        if (_kept)
            return;
        try
        {
            // The innermost first; those above it are empty then.
            for (int i = 0; i < _made.Count; i++)
                Directory.Delete(_made[i], _removeContent && i == 0);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Not empty: somebody else put something there.
        }
    }

    // Two runs would use the same temporary names and take each other's files away.
    private static FileStream Hold(string path)
    {
        string name = Path.Combine(path, "in-use" + OutputFile.TemporarySuffix);
        try
        {
            return new FileStream(name, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None, bufferSize: 1, FileOptions.DeleteOnClose);
        }
        catch (IOException e) when (File.Exists(name))
        {
            throw new Sdk.InputException($"Another run is writing into {path}.", path, "Wait until it is done, or choose another folder.", e);
        }
    }
}
