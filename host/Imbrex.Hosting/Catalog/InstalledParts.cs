using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Hosting.Catalog;

/// <summary>The parts of installed packages. The lock file is read when it is first asked for, and a script only when it is the one that is wanted.</summary>
internal sealed class InstalledParts(PackageStore? store, LayoutScripts layouts, AdapterScripts? adapters)
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

    /// <summary>The layout of a name, or null where no package has it.</summary>
    /// <exception cref="ImbrexException">It has been changed, fails, or calls itself otherwise than its package does.</exception>
    public IMosaicLayout? Layout(string name, LayoutRequest? about) => Find(PackageWords.Layout, name) is { } script ? Layout(script, about) : null;

    /// <summary>Compiles and probes a layout.</summary>
    public IMosaicLayout Layout(InstalledScript script, LayoutRequest? about)
    {
        ScriptLayout layout = layouts.Open(script.Read(), about);
        RequireName(script, layout.Description.Name);
        return layout;
    }

    /// <summary>The adapter of a name, or null where no package has it.</summary>
    /// <exception cref="ImbrexException">It has been changed, fails, or calls itself otherwise than its package does.</exception>
    public IAdapterGeometry? Adapter(string name) => Find(PackageWords.Adapter, name) is { } script ? Adapter(script) : null;

    /// <summary>Compiles an adapter and asks it what it is.</summary>
    public IAdapterGeometry Adapter(InstalledScript script)
    {
        if (adapters is null)
            throw new InputException($"The adapter '{script.Name}' of the package {script.Package.Name} cannot be run here.", script.Path, "Use the program itself.");
        ScriptAdapter adapter = adapters.Open(script.Read());
        RequireName(script, adapter.Description.Name);
        return adapter;
    }

    private InstalledScript? Find(string kind, string name) => Scripts(kind).FirstOrDefault(script => script.Name == name);

    private static void RequireName(InstalledScript script, string name)
    {
        if (name != script.Name)
            throw new RefusalException($"{script.Script.File} of the package {script.Package.Name} calls itself '{name}', and the package calls it '{script.Name}'.", script.Path, "Tell the package's author.");
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
