using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Merging;

/// <summary>The folder of a result: made if need be. If the work fails, the files it owns are gone, and so are the folders that were made for them.</summary>
public sealed class OutputFolder : IDisposable
{
    private readonly IReadOnlyList<string> _made;
    private readonly bool _removeContent;
    private readonly List<string> _owned = [];
    private bool _kept;

    private OutputFolder(IReadOnlyList<string> made, bool removeContent) => (_made, _removeContent) = (made, removeContent);

    /// <summary>Opens or makes the folder.</summary>
    /// <param name="path">The folder.</param>
    /// <param name="removeContent">Whether a folder made for the work goes with all that is in it, rather than only if it is empty.</param>
    /// <exception cref="Sdk.InputException">It cannot be made.</exception>
    public static OutputFolder Open(string path, bool removeContent = false)
    {
        try
        {
            var made = new List<string>();
            for (string? folder = Path.GetFullPath(path); folder is not null && !Directory.Exists(folder); folder = Path.GetDirectoryName(folder))
                made.Add(folder);
            Directory.CreateDirectory(path);
            return new(made, removeContent);
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
            // The innermost first; those above it are empty then.
            for (int i = 0; i < _made.Count; i++)
                Directory.Delete(_made[i], _removeContent && i == 0);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Not empty: somebody else put something there.
        }
    }
}
