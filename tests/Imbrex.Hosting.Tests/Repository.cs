namespace Imbrex.Hosting.Tests;

/// <summary>The working copy that the tests were built from.</summary>
public static class Repository
{
    public static string Root { get; } = Find(AppContext.BaseDirectory);

    public static string Scripts(string kind) => Path.Combine(Root, "scripts", kind);

    private static string Find(string folder) => File.Exists(Path.Combine(folder, "Imbrex.slnx")) ? folder : Find(Path.GetDirectoryName(folder)!);
}
