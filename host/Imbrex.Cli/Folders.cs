using Imbrex.Hosting.Plugins;

namespace Imbrex.Cli;

/// <summary>Where the program keeps and finds things. The environment is read here and nowhere else.</summary>
internal static class Folders
{
    private static string Data { get; } =
        Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "imbrex");

    /// <summary>The program's own plugins, then the user's: the folders of IMBREX_PLUGINS, or one in the user's application data.</summary>
    public static IReadOnlyList<PluginFolder> Plugins { get; } =
    [
        new(Path.Combine(AppContext.BaseDirectory, "plugins"), IsBuiltIn: true),
        .. Environment.GetEnvironmentVariable("IMBREX_PLUGINS") is { Length: > 0 } named
            ? named.Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries).Select(path => new PluginFolder(Path.GetFullPath(path)))
            : [new PluginFolder(Path.Combine(Data, "plugins"))],
    ];

    /// <summary>Compiled scripts: the folder of IMBREX_CACHE, or one in the user's application data.</summary>
    public static string ScriptCache { get; } =
        Environment.GetEnvironmentVariable("IMBREX_CACHE") is { Length: > 0 } named ? Path.GetFullPath(named) : Path.Combine(Data, "cache");
}
