using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Hosting.Catalog;

/// <summary>The parts of installed packages. The lock file is read when it is first asked for, and a script only when it is the one that is wanted.</summary>
internal sealed class InstalledParts(PackageStore? store, LayoutScripts scripts)
{
    private IReadOnlyList<LockedPackage>? _packages;

    /// <summary>Why nothing is known of the packages, or null.</summary>
    public PluginProblem? Problem { get; private set; }

    /// <summary>Main assemblies of installed plugins.</summary>
    public IEnumerable<PluginFile> Plugins =>
        from package in Packages
        where package.Assembly is not null
        select new PluginFile(Path.GetFileNameWithoutExtension(package.Assembly!), Path.Combine(store!.FolderOf(package.Name), package.Assembly!), IsBuiltIn: false, package.Name);

    /// <summary>Scripts of a kind.</summary>
    public IEnumerable<InstalledScript> Scripts(string kind) => Packages.Count > 0 ? store!.Scripts(kind) : [];

    /// <summary>Compiles and probes a layout.</summary>
    /// <exception cref="ImbrexException">It has been changed, fails, or calls itself otherwise than its package does.</exception>
    public ScriptLayout Layout(InstalledScript script, LayoutRequest? about)
    {
        ScriptLayout layout = scripts.Open(script.Read(), about);
        return layout.Description.Name == script.Name
            ? layout
            : throw new RefusalException($"{script.Script.File} of the package {script.Package.Name} calls itself '{layout.Description.Name}', and the package calls it '{script.Name}'.", script.Path, "Tell the package's author.");
    }

    private IReadOnlyList<LockedPackage> Packages => _packages ??= Read();

    private IReadOnlyList<LockedPackage> Read()
    {
        try
        {
            return store?.Packages ?? [];
        }
        catch (InputException e)
        {
            Problem = new("packages", e.Where ?? "", $"{e.Message} {e.Remedy}");
            return [];
        }
    }
}
