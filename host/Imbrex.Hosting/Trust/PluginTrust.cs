using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Trust;

/// <summary>Says whether a compiled plugin that did not come with the program may be loaded.</summary>
public interface IPluginTrust
{
    /// <summary>The reason to leave a plugin out, or null.</summary>
    string? Refusal(PluginFile plugin);
}

/// <summary>A plugin's folder that nobody has signed.</summary>
/// <param name="Name">The plugin's name.</param>
/// <param name="Folder">Its folder.</param>
/// <param name="Sha256">One hash over all files there.</param>
/// <param name="HasChanged">Whether it was trusted before with other files.</param>
public sealed record LoosePlugin(string Name, string Folder, string Sha256, bool HasChanged)
{
    /// <summary>Looks at a folder.</summary>
    /// <exception cref="ImbrexException">A file cannot be read, or is a link.</exception>
    public static LoosePlugin Of(PluginFile plugin, TrustStore store)
    {
        ArgumentNullException.ThrowIfNull(plugin);
        ArgumentNullException.ThrowIfNull(store);
        string folder = Path.GetDirectoryName(plugin.Path)!, hash = FolderHash.Of(folder);
        return new(plugin.Name, folder, hash, !store.IsTrusted(hash) && store.KnowsName(plugin.Name));
    }
}

/// <summary>
/// A plugin of a package must be as it was installed and signed by a key that is still trusted; one that lies in a folder must have been trusted with just these files. The files are hashed
/// right before they are loaded; whoever can change them in between has the user's rights already.
/// </summary>
/// <param name="open">Opens what is trusted.</param>
/// <param name="packages">What is installed.</param>
/// <param name="ask">Asks the user about a folder: returns on a yes and throws otherwise.</param>
public sealed class PluginTrust(Func<TrustStore> open, PackageStore packages, Action<LoosePlugin> ask) : IPluginTrust
{
    public string? Refusal(PluginFile plugin)
    {
        ArgumentNullException.ThrowIfNull(plugin);
        try
        {
            TrustStore store = open();
            if (plugin.Package is { } name)
                return RefusalOf(packages.Find(name)!, store);
            var loose = LoosePlugin.Of(plugin, store);
            if (!store.IsTrusted(loose.Sha256))
            {
                ask(loose);
                store.Trust(new TrustedFile(loose.Name, loose.Sha256));
            }
            return null;
        }
        catch (ImbrexException e)
        {
            return $"{e.Message} {e.Remedy}".TrimEnd();
        }
    }

    private string? RefusalOf(LockedPackage package, TrustStore store)
    {
        if (package.Key is not { } key || !store.IsTrusted(package.Name, key))
            return $"Its key is no longer trusted. {PackageIntegrity.Remedy(package)}";
        return packages.Damage(package) is { } damage ? $"{damage} {PackageIntegrity.Remedy(package)}" : null;
    }
}
