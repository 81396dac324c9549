using Imbrex.Hosting.Plugins;

namespace Imbrex.Cli;

/// <summary>Where the program keeps and finds things. The environment is read here and nowhere else.</summary>
internal static class Folders
{
    /// <summary>The program's own plugins, then the user's: the folders of IMBREX_PLUGINS, or one in the user's application data.</summary>
    public static IReadOnlyList<PluginFolder> Plugins { get; } =
    [
        new(Path.Combine(AppContext.BaseDirectory, "plugins"), IsBuiltIn: true),
        .. Environment.GetEnvironmentVariable("IMBREX_PLUGINS") is { Length: > 0 } named
            ? named.Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries).Select(path => new PluginFolder(Path.GetFullPath(path)))
            : Own("plugins") is { } own ? [new PluginFolder(own)] : [],
    ];

    /// <summary>Compiled scripts: the folder of IMBREX_CACHE, or one in the user's application data; null where the user has none.</summary>
    public static string? ScriptCache { get; } =
        Environment.GetEnvironmentVariable("IMBREX_CACHE") is { Length: > 0 } named ? Path.GetFullPath(named) : Own("cache");

    /// <summary>The file of what is trusted: that of IMBREX_TRUST, or one in the user's application data; null where the user has none.</summary>
    public static string? Trust { get; } =
        Environment.GetEnvironmentVariable("IMBREX_TRUST") is { Length: > 0 } named ? Path.GetFullPath(named) : Own("trust.json");

    /// <summary>Installed packages: the folder of IMBREX_PACKAGES, or one in the user's application data; null where the user has none.</summary>
    public static string? Packages { get; } =
        Environment.GetEnvironmentVariable("IMBREX_PACKAGES") is { Length: > 0 } named ? Path.GetFullPath(named) : Own("packages");

    /// <summary>The author's own keys: the folder of IMBREX_KEYS, or one in the user's application data; null where the user has none.</summary>
    public static string? Keys { get; } =
        Environment.GetEnvironmentVariable("IMBREX_KEYS") is { Length: > 0 } named ? Path.GetFullPath(named) : Own("keys");

    // Without a home there is nothing that belongs to the user alone. The current or the temporary folder will not do: code is loaded
    // from here, and others may write there.
    private static string? Own(string name)
    {
        string data = Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify);
        return Path.IsPathRooted(data) ? Path.Combine(data, "imbrex", name) : null;
    }
}
