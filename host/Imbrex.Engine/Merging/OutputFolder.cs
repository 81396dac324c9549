using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Merging;

/// <summary>The folder of a result: made if need be. If the work fails, the files it owns are gone, and so are the folders that were made for them.</summary>
public sealed class OutputFolder : IDisposable
{
    private readonly IReadOnlyList<string> _made;
    private readonly List<string> _owned = [];
    private bool _kept;

    private OutputFolder(IReadOnlyList<string> made) => _made = made;

    /// <summary>Opens or makes the folder.</summary>
    /// <exception cref="Sdk.InputException">It cannot be made.</exception>
    public static OutputFolder Open(string path)
    {
        try
        {
            var made = new List<string>();
            for (string? folder = Path.GetFullPath(path); folder is not null && !Directory.Exists(folder); folder = Path.GetDirectoryName(folder))
                made.Add(folder);
            Directory.CreateDirectory(path);
            return new(made);
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
        if (_kept)
            return;
        _owned.ForEach(OutputFile.TryDelete);
        try
        {
            foreach (string folder in _made)
                Directory.Delete(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Not empty: somebody else put something there.
        }
    }
}
