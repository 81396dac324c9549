namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>An empty folder of the test's own that goes away with it.</summary>
public sealed class ScratchFolder : IDisposable
{
    /// <summary>Its full path.</summary>
    public string Path { get; } = Directory.CreateTempSubdirectory("imbrex-testing-").FullName;

    /// <summary>Removes the folder with all that is in it.</summary>
    public void Dispose()
    {
        if (Directory.Exists(Path))
            Directory.Delete(Path, recursive: true);
    }
}
