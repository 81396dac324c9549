using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Merging;

/// <summary>The folder of a result: made if need be. If the work fails, the files it owns are gone, and so is the folder if it was made for them.</summary>
public sealed class OutputFolder : IDisposable
{
    private readonly string _path;
    private readonly bool _isNew;
    private readonly bool _removeContent;
    private readonly List<string> _owned = [];
    private bool _kept;

    private OutputFolder(string path, bool isNew, bool removeContent) => (_path, _isNew, _removeContent) = (path, isNew, removeContent);

    /// <summary>Opens or makes the folder.</summary>
    /// <param name="path">The folder.</param>
    /// <param name="removeContent">Whether a folder made for the work goes with all that is in it, rather than only if it is empty.</param>
    /// <exception cref="Sdk.InputException">It cannot be made.</exception>
    public static OutputFolder Open(string path, bool removeContent = false)
    {
        try
        {
            bool isNew = !Directory.Exists(path);
            Directory.CreateDirectory(path);
            return new(path, isNew, removeContent);
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
        if (!_isNew)
            return;
        try
        {
            Directory.Delete(_path, _removeContent);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Not empty: somebody else put something there.
        }
    }
}
