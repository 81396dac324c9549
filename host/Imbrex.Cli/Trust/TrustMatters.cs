using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Trust;

namespace Imbrex.Cli.Trust;

/// <summary>What to tell of each kind of thing that asks for trust.</summary>
internal static class TrustMatters
{
    // So many lines of comment say what a script is.
    private const int MostLines = 12;

    /// <summary>A batch script that lies somewhere as a file.</summary>
    public static TrustMatter Of(ScriptSource script, TrustStore store)
    {
        string name = Path.GetFileName(script.Path);
        IEnumerable<(string, string)> says = script.Lines.TakeWhile(line => line.StartsWith("//", StringComparison.Ordinal)).Take(MostLines).Select((line, i) => (i == 0 ? "says" : "", line[2..].Trim()));
        return new(name, State(store.KnowsName(name)), script.Path, script.Sha256,
            [("file", $"{Path.GetFullPath(script.Path)}, {script.Lines.Count} lines, nobody's signature"), .. says], "Run it, and trust just these bytes from now on?",
            "Read it: it runs with your own rights. Then say yes with --trust, which is remembered for just these bytes.");
    }

    /// <summary>A compiled plugin in a folder.</summary>
    public static TrustMatter Of(LoosePlugin plugin) => new(
        plugin.Name, State(plugin.HasChanged), plugin.Folder, plugin.Sha256, [("plugin", $"{plugin.Folder}, compiled, nobody's signature")],
        "Load it, and trust just these files from now on?", $"If you trust it: imbrex plugin trust {plugin.Folder}");

    /// <summary>A package with batch scripts or a compiled plugin.</summary>
    public static TrustMatter Of(Package package, string source, TrustStore store)
    {
        PackageDocument manifest = package.Manifest;
        string key = package.Key!.Fingerprint;
        string known = store.Packages.FirstOrDefault(pinned => pinned.Key == key) is { } other ? $", who also signed {other.Name}, which you trust" : "";
        string what = manifest.Kind == PackageWords.Plugin
            ? "a compiled plugin, loaded into the program"
            : $"batch scripts: {string.Join(", ", manifest.Scripts!.Where(script => manifest.KindOf(script) == PackageWords.Batch).Select(script => script.Name))}";
        return new(package.Title, "asks to run with your own rights", source, package.Sha256,
        [
            ("package", $"{source}, {package.Files.Count} files"), ("is", what), ("says", manifest.Summary), ("author", $"{manifest.Author} (in the author's own words)"),
            ("signed", $"{key}{known}"),
        ],
        "Install it, and trust this key for this name from now on?",
        $"It is by {manifest.Author} and signed with {key}. If you trust that, say yes with --trust, which is remembered for this name and this key.");
    }

    private static string State(bool hasChanged) => hasChanged ? "has changed since you trusted it" : "is not trusted yet";
}
