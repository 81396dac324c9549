using Imbrex.Engine.Documents;
using Imbrex.Hosting.Plugins;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Packages;

/// <summary>A package that has just been made.</summary>
/// <param name="Bytes">Its file.</param>
/// <param name="Package">The same, verified as whoever installs it will.</param>
/// <param name="LeftOut">Files of the folder that it does not hold.</param>
/// <param name="Notes">What the author should know.</param>
public sealed record MadePackage(byte[] Bytes, Package Package, IReadOnlyList<string> LeftOut, IReadOnlyList<string> Notes);

/// <summary>Makes a package of a folder: reads the manifest, fills in what can be found out, and proves that others will accept it.</summary>
/// <param name="scripts">Looks at the folder's scripts.</param>
public sealed class PackageMaker(IScriptInspector scripts)
{
    private readonly List<string> _notes = [];

    /// <summary>Makes the package.</summary>
    /// <param name="folder">Holds the manifest and the files.</param>
    /// <param name="key">Signs it, once it is known to be sound; null leaves it unsigned.</param>
    /// <exception cref="InputException">Something is missing or does not compile.</exception>
    /// <exception cref="RefusalException">A rule refuses it.</exception>
    public MadePackage Make(string folder, Func<AuthorKey>? key)
    {
        PackageDocument manifest = ReadManifest(folder);
        bool isPlugin = manifest.Kind == PackageWords.Plugin;
        PackedFolder packed = PackedFolder.Read(folder, isPlugin);
        manifest = isPlugin ? OfPlugin(manifest, folder, packed) : OfScripts(manifest, folder, packed);
        if (key is null && manifest.NeedsTrust())
            throw new RefusalException("A package that runs with the user's rights must be signed.", folder, "Leave out --unsigned.");
        using AuthorKey? author = key?.Invoke();
        byte[] bytes = NupkgWriter.Write(manifest, packed.Files, author);
        if (bytes.Length > PackageLimits.Package)
            throw new RefusalException($"The package would have {bytes.Length >> 20} MB; {PackageLimits.Package >> 20} MB is the most.", folder, "Take out what it does not need.");
        return new(bytes, Proven(bytes, folder), packed.LeftOut, _notes);
    }

    // What refuses it here would refuse it everywhere; here it can be mended.
    private static Package Proven(byte[] bytes, string folder)
    {
        try
        {
            return Package.Parse(bytes, $"the package of {folder}");
        }
        catch (RefusalException e)
        {
            throw new RefusalException(e.Message, folder, "Nobody could install this package. Mend it in the folder, and pack again.", e);
        }
    }

    private static PackageDocument ReadManifest(string folder)
    {
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name the folder of a plugin or of scripts.");
        string path = Path.Combine(folder, PackageDocument.FileName);
        if (File.Exists(path))
            return JsonDocuments.Read<PackageDocument>(path, PackageDocument.SchemaName) with { JsonSchema = null };
        string remedy = "Write one: {\"schema\": \"imbrex/package/1\", \"name\": \"my-layouts\", \"version\": \"1.0.0\", \"kind\": \"layout\", \"author\": \"…\", \"licence\": \"MIT\", \"summary\": \"…\"}; imbrex schema package tells the rest.";
        throw new InputException($"The folder has no {PackageDocument.FileName}.", folder, remedy);
    }

    private static PackageDocument OfPlugin(PackageDocument manifest, string folder, PackedFolder packed)
    {
        string assembly = manifest.Assembly ?? FindAssembly(folder, packed);
        var plugin = new PluginFile(Path.GetFileNameWithoutExtension(assembly), Path.GetFullPath(Path.Combine(folder, assembly)), IsBuiltIn: false);
        if (PluginContract.Refusal(plugin) is { } refusal)
            throw new RefusalException(refusal, plugin.Path, "Build it against this SDK, into a folder of its own, and pack that folder.");
        string built = PluginContract.SdkVersion(plugin.Path)!.ToString(3);
        RequireSameSdk(manifest, built, folder);
        return manifest with { Assembly = assembly, Sdk = built };
    }

    // A plugin's own assembly is the one that tells what it depends on.
    private static string FindAssembly(string folder, PackedFolder packed)
    {
        const string Dependencies = ".deps.json";
        string[] top = [.. packed.Files.Keys.Where(path => !path.Contains('/'))];
        string[] candidates = [.. top.Where(path => path.EndsWith(Dependencies, StringComparison.Ordinal)).Select(path => path[..^Dependencies.Length] + ".dll")];
        if (candidates.Length == 0)
            candidates = [.. top.Where(path => path.EndsWith(".dll", StringComparison.Ordinal))];
        return candidates.Length == 1
            ? candidates[0]
            : throw new InputException(candidates.Length == 0 ? "The folder holds no .dll." : $"The folder holds several assemblies: {string.Join(", ", candidates)}.", folder,
                candidates.Length == 0 ? "Build the plugin and pack the folder that it is built into (dotnet build -o FOLDER)." : "Name the plugin's own as \"assembly\" in the manifest.");
    }

    private PackageDocument OfScripts(PackageDocument manifest, string folder, PackedFolder packed)
    {
        RequireSameSdk(manifest, SdkContract.Version.ToString(3), folder);
        string[] found = [.. packed.Files.Keys.Where(path => path.EndsWith(".csx", StringComparison.Ordinal))];
        if (manifest.Scripts is null && (manifest.Kind == PackageWords.Scripts || found.Length == 0))
        {
            throw new InputException(found.Length == 0 ? "The folder holds no .csx file." : "The manifest does not tell what its scripts are.", folder,
                found.Length == 0 ? "Put the scripts into it." : "List them: \"scripts\": [ { \"file\": \"my.csx\", \"kind\": \"layout\" } ].");
        }
        PackageScript[] listed = manifest.Scripts is { } given ? [.. given] : [.. found.Select(file => new PackageScript { File = file })];
        if (listed.FirstOrDefault(script => !packed.Files.ContainsKey(script.File)) is { } missing)
            throw new InputException($"The manifest names {missing.File}, which the folder does not hold.", Path.Combine(folder, PackageDocument.FileName),
                "Correct the name, or put the file there.");
        foreach (string other in found.Where(file => !listed.Any(script => script.File == file)))
        {
            packed.Files.Remove(other);
            _notes.Add($"{other} is not among the manifest's scripts and was not packed.");
        }
        var inspected = listed.Select(script => (Script: script, Looks: scripts.Inspect(Path.Combine(folder, script.File), manifest.KindOf(script)))).ToArray();
        return WithDrawing(manifest with { Sdk = SdkContract.Version.ToString(3), Scripts = [.. inspected.Select(one => Named(one.Script, one.Looks.Name, manifest.KindOf(one.Script), folder))] },
            [.. inspected.Select(one => one.Looks)], packed);
    }

    private static PackageScript Named(PackageScript script, string name, string kind, string folder)
    {
        if (!PackageWords.IsName(name))
            throw new InputException($"{script.File} would be used by the name '{name}', which is not kebab-case.", Path.Combine(folder, script.File),
                "Rename it, or give its \"name\" in the manifest.");
        // A batch script says no name; it goes by its file's.
        if (script.Name is { } told && told != name && kind != PackageWords.Batch)
            throw new InputException($"The manifest calls {script.File} '{told}', and it calls itself '{name}'.", Path.Combine(folder, PackageDocument.FileName), "Make them agree.");
        return script with { Name = script.Name ?? name, Kind = kind };
    }

    private PackageDocument WithDrawing(PackageDocument manifest, IReadOnlyList<InspectedScript> looks, PackedFolder packed)
    {
        const string Drawn = "drawing.svg";
        if (manifest.Drawing is not null)
            return manifest;
        if (packed.Files.ContainsKey(Drawn))
            return manifest with { Drawing = Drawn };
        if (looks.FirstOrDefault(one => one.Drawing is not null)?.Drawing is not { } drawing)
        {
            if (manifest.Kind != PackageWords.Batch)
                _notes.Add("It has no drawing. A drawing.svg or drawing.png, named as \"drawing\" in the manifest, shows others what it does.");
            return manifest;
        }
        packed.Files.Add(Drawn, drawing);
        return manifest with { Drawing = Drawn };
    }

    private static void RequireSameSdk(PackageDocument manifest, string actual, string folder)
    {
        if (manifest.Sdk is { } told && told != actual)
            throw new RefusalException($"The manifest says SDK {told}, and it is made for {actual}.", Path.Combine(folder, PackageDocument.FileName),
                "Leave \"sdk\" out: packing fills it in.");
    }
}
