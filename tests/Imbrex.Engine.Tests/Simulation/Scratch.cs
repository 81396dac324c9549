namespace Imbrex.Engine.Tests.Simulation;

/// <summary>An empty folder for one test, removed after it.</summary>
internal sealed class Scratch : IDisposable
{
    public string Folder { get; } = Directory.CreateTempSubdirectory("imbrex-test-").FullName;

    public string this[string name] => Path.Combine(Folder, name);

    public IEnumerable<string> Names => Directory.EnumerateFileSystemEntries(Folder).Select(path => Path.GetFileName(path)!).Order(StringComparer.Ordinal);

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
