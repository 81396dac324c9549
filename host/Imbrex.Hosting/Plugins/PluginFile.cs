namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's main assembly: <c>NAME/NAME.dll</c> below a plugins folder.</summary>
/// <param name="Name">The folder's name.</param>
/// <param name="Path">Full path of the assembly.</param>
/// <param name="IsBuiltIn">Whether it came with the program.</param>
/// <param name="Package">The installed package that it belongs to, or null.</param>
public sealed record PluginFile(string Name, string Path, bool IsBuiltIn, string? Package = null);

/// <summary>A folder that holds plugins, each in a folder of its own.</summary>
/// <param name="Path">The folder; it need not exist.</param>
/// <param name="IsBuiltIn">Whether it came with the program.</param>
public sealed record PluginFolder(string Path, bool IsBuiltIn = false)
{
    /// <summary>What the folder promises, in ordinal order of names. Whether the files are there is for the loader to see.</summary>
    public IReadOnlyList<PluginFile> Files()
    {
        if (!Directory.Exists(Path))
            return [];
        return
        [
            .. new DirectoryInfo(Path).EnumerateDirectories()
                .Where(folder => !folder.Name.StartsWith('.'))
                .OrderBy(folder => folder.Name, StringComparer.Ordinal)
                .Select(folder => new PluginFile(folder.Name, System.IO.Path.Combine(folder.FullName, folder.Name + ".dll"), IsBuiltIn)),
        ];
    }
}

/// <summary>Why a plugin, a part of one, or a script was left out.</summary>
/// <param name="Name">Name of the plugin or script.</param>
/// <param name="Path">Its file.</param>
/// <param name="Reason">One sentence for the user.</param>
public sealed record PluginProblem(string Name, string Path, string Reason);
