using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Intake;

/// <summary>A folder for intermediate files beside the output, gone on every way out.</summary>
public sealed class ScratchFolder : IDisposable
{
    private readonly string _path;

    /// <summary>Makes the folder, empty.</summary>
    /// <exception cref="Sdk.InputException">The output folder cannot be written to.</exception>
    public ScratchFolder(string outputFolder)
    {
        _path = Path.Combine(outputFolder, "scratch" + OutputFile.TemporarySuffix);
        try
        {
            if (Directory.Exists(_path))
                Directory.Delete(_path, recursive: true);
            Directory.CreateDirectory(_path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw OutputFile.NotWritable(outputFolder, e);
        }
    }

    /// <summary>Path of a scratch file.</summary>
    public string File(string name) => Path.Combine(_path, name);

    public void Dispose()
    {
        try
        {
            Directory.Delete(_path, recursive: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Left behind under a name that says what it is; the next merge into this folder clears it.
        }
    }
}
