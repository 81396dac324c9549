using Imbrex.Engine.Documents;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Trust;
using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Exports;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Catalog;

/// <summary>The layouts, adapters and export targets at hand, and what had to be left out.</summary>
public sealed class Catalogue
{
    private readonly List<CatalogueEntry<IMosaicLayout>> _layouts = [];
    private readonly List<CatalogueEntry<IAdapterGeometry>> _adapters = [];
    private readonly List<CatalogueEntry<IExportTarget>> _exports = [];
    private readonly List<PluginProblem> _problems = [];
    private readonly LayoutScripts _scripts;
    private readonly AdapterScripts? _adapterScripts;
    private readonly IPluginTrust? _trust;
    private readonly PluginLimits _limits;
    private readonly InstalledParts _installed;
    private readonly UnreadPlugins _own;
    private readonly Lazy<UnreadPlugins> _others;
    private bool _areInstalledOpened;

    private Catalogue(IReadOnlyList<PluginFile> plugins, LayoutScripts scripts, AdapterScripts? adapters, IPluginTrust? trust, PackageStore? packages, PluginLimits limits)
    {
        (_scripts, _adapterScripts, _trust, _installed, _limits) = (scripts, adapters, trust, new(packages, scripts, adapters), limits);
        _own = new(plugins.Where(plugin => plugin.IsBuiltIn));
        _others = new(() => new(plugins.Where(plugin => !plugin.IsBuiltIn).Concat(_installed.Plugins)));
    }

    /// <summary>Layouts, in the order found.</summary>
    public IReadOnlyList<CatalogueEntry<IMosaicLayout>> Layouts => All(_layouts);

    /// <summary>Adapter geometries, in the order found.</summary>
    public IReadOnlyList<CatalogueEntry<IAdapterGeometry>> Adapters => All(_adapters);

    /// <summary>Export targets, in the order found.</summary>
    public IReadOnlyList<CatalogueEntry<IExportTarget>> Exports => All(_exports);

    /// <summary>What was left out and why.</summary>
    public IReadOnlyList<PluginProblem> Problems => All(_problems);

    /// <summary>
    /// The plugins of some folders; of two parts with one name the first found stays. A plugin is loaded when it is its turn and what was asked for has not been
    /// found yet: most commands need one part, and to load the rest takes longer than the work.
    /// </summary>
    /// <param name="folders">Folders of plugins, the program's own first.</param>
    /// <param name="scripts">Runs layout scripts.</param>
    /// <param name="adapters">Runs adapter scripts; null where there are none.</param>
    /// <param name="trust">Says which plugins may be loaded that did not come with the program; without it, none.</param>
    /// <param name="packages">What is installed; looked at when the program's own plugins do not have what is asked for.</param>
    /// <param name="limits">How long plugins that did not come with the program may take; null for what users get.</param>
    public static Catalogue Load(
        IEnumerable<PluginFolder> folders, LayoutScripts scripts, AdapterScripts? adapters = null, IPluginTrust? trust = null, PackageStore? packages = null, PluginLimits? limits = null) =>
        new([.. folders.SelectMany(folder => folder.Files())], scripts, adapters, trust, packages, limits ?? PluginLimits.Usual);

    /// <summary>A new plan begins, for which scripts have their time again.</summary>
    internal void Renew() => _scripts.Renew();

    /// <summary>Adds the layout and adapter scripts of a folder; one that fails is named among the problems.</summary>
    /// <exception cref="InputException">The folder does not exist.</exception>
    public void AddScripts(string folder)
    {
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name a folder that holds .csx files.");
        All(_layouts);
        foreach (string path in Directory.EnumerateFiles(folder, "*.csx").Order(StringComparer.Ordinal))
        {
            try
            {
                var origin = new Origin(OriginKind.Script, Path.GetFileName(path), path);
                if (_adapterScripts is not null && ScriptWords.KindOf(ScriptSource.Read(path)) == ScriptKind.Adapter)
                {
                    ScriptAdapter adapter = _adapterScripts.Open(path);
                    Add(_adapters, adapter, adapter.Description, origin);
                    continue;
                }
                ScriptLayout layout = _scripts.Open(path);
                Add(_layouts, layout, layout.Description, origin);
            }
            catch (ImbrexException e)
            {
                string place = e.Where is null ? "" : $" At {e.Where}";
                _problems.Add(new(Path.GetFileName(path), path, e.Message + place));
            }
        }
    }

    /// <summary>The layout of a name, or the layout script of a path.</summary>
    /// <param name="nameOrPath">A name; or a path, which ends in .csx or is that of an existing file.</param>
    /// <param name="about">
    /// What the layout will be asked, if known: a script is run with it to learn its parameters, so that their defaults may depend on
    /// sensor and format.
    /// </param>
    /// <exception cref="InputException">Not known; with the nearest known name.</exception>
    public IMosaicLayout Layout(string nameOrPath, LayoutRequest? about = null) => LayoutScripts.IsScript(nameOrPath)
        ? _scripts.Open(nameOrPath, about)
        : Find(_layouts, nameOrPath, "layout", PartKinds.Layout, () => _installed.Layout(nameOrPath, about));

    /// <summary>The adapter geometry of a name, or the adapter script of a path.</summary>
    /// <param name="nameOrPath">A name, or a path that ends in .csx.</param>
    /// <exception cref="InputException">Not known, with the nearest known name; or the script is faulty.</exception>
    public IAdapterGeometry Adapter(string nameOrPath) => _adapterScripts is not null && AdapterScripts.IsScript(nameOrPath)
        ? _adapterScripts.Open(nameOrPath)
        : Find(_adapters, nameOrPath, "adapter", PartKinds.Adapter, () => _installed.Adapter(nameOrPath));

    /// <summary>The export target of a name.</summary>
    /// <exception cref="InputException">Not known; with the nearest known name.</exception>
    public IExportTarget Export(string name) => Find(_exports, name, "export target", PartKinds.Export);

    private List<T> All<T>(List<T> found)
    {
        while (ReadNext(_own, PartKinds.All))
        {
        }
        OpenInstalled();
        while (ReadNext(_others.Value, PartKinds.All))
        {
        }
        return found;
    }

    // The program's own come first, then installed scripts, then plugins of others, which take longer to load.
    private void OpenInstalled()
    {
        if (_areInstalledOpened)
            return;
        _areInstalledOpened = true;
        Open(PackageWords.Layout, _layouts, script => _installed.Layout(script, null), layout => layout.Description);
        Open(PackageWords.Adapter, _adapters, _installed.Adapter, adapter => adapter.Description);
        TellDamagedLock();
    }

    private void TellDamagedLock()
    {
        if (_installed.Problem is { } problem && !_problems.Contains(problem))
            _problems.Add(problem);
    }

    private void Open<T>(string kind, List<CatalogueEntry<T>> entries, Func<InstalledScript, T> open, Func<T, PartDescription> description)
    {
        foreach (InstalledScript script in _installed.Scripts(kind))
        {
            try
            {
                T part = open(script);
                Add(entries, part, description(part), new(OriginKind.Package, script.Package.Name, script.Path));
            }
            catch (ImbrexException e)
            {
                _problems.Add(new(script.Package.Name, script.Path, $"{e.Message} {e.Remedy}".TrimEnd()));
            }
        }
    }

    // False where every plugin that may hold such a part has been read.
    private bool ReadNext(UnreadPlugins unread, PartKinds kinds)
    {
        if (unread.Next(kinds) is not { } plugin)
            return false;
        // Nobody is asked about what cannot be loaded anyway. What belongs to a package is first of all what was installed.
        if (!plugin.IsBuiltIn && (plugin.Package is not null || PluginContract.Refusal(plugin) is null) && TrustRefusal(plugin) is { } refusal)
        {
            _problems.Add(new(plugin.Name, plugin.Path, refusal));
            return true;
        }
        var scan = new PluginScan(new IsolatedPluginLoader(), _limits);
        scan.Add(plugin);
        _problems.AddRange(scan.Problems);
        foreach (MadePart part in scan.Parts)
            Add(part);
        return true;
    }

    private string? TrustRefusal(PluginFile plugin) => _trust is null ? "Nothing says that it is trusted." : _trust.Refusal(plugin);

    // What came with the program is called directly; what did not, through a guard.
    private void Add(MadePart made)
    {
        PluginFile plugin = made.Plugin;
        var origin = new Origin(plugin.IsBuiltIn ? OriginKind.BuiltIn : OriginKind.Plugin, plugin.Name, plugin.Path);
        // A class may be more than one kind of part at once.
        if (made is { Part: IMosaicLayout layout, Layout: { } ofLayout })
            Add(_layouts, plugin.IsBuiltIn ? layout : new GuardedLayout(layout, ofLayout, plugin, Guard(ofLayout, plugin)), ofLayout, origin);
        if (made is { Part: IAdapterGeometry adapter, Adapter: { } ofAdapter })
            Add(_adapters, plugin.IsBuiltIn ? adapter : new GuardedAdapter(adapter, ofAdapter, Guard(ofAdapter, plugin)), ofAdapter, origin);
        if (made is { Part: IExportTarget export, Export: { } ofExport })
            Add(_exports, plugin.IsBuiltIn ? export : new GuardedExport(export, ofExport, Guard(ofExport, plugin)), ofExport, origin);
    }

    private PartGuard Guard(PartDescription description, PluginFile plugin) => new(description.Name, plugin, _limits, problem =>
    {
        lock (_problems)
            _problems.Add(problem);
    });

    private void Add<T>(List<CatalogueEntry<T>> entries, T part, PartDescription description, Origin origin)
    {
        if (entries.Find(entry => entry.Description.Name == description.Name) is { } first)
            _problems.Add(new(origin.Name, origin.Path, $"'{description.Name}' is there already, from {first.Origin.Name}."));
        else
            entries.Add(new(part, description, origin));
    }

    private T Find<T>(List<CatalogueEntry<T>> entries, string name, string kind, PartKinds kinds, Func<T?>? installed = null)
        where T : class
    {
        CatalogueEntry<T>? Entry() => entries.Find(entry => entry.Description.Name == name);
        while (Entry() is null && ReadNext(_own, kinds))
        {
        }
        if (Entry() is { Origin.Kind: OriginKind.BuiltIn } own)
            return own.Part;
        if (installed?.Invoke() is { } script)
            return script;
        while (Entry() is null && ReadNext(_others.Value, kinds))
        {
        }
        if (Entry() is { } found)
            return found.Part;
        string[] known = [.. entries.Select(entry => entry.Description.Name).Union(_installed.Scripts(kind).Select(one => one.Name))];
        TellDamagedLock();
        string remedy = NearestWord.Suggest(name, known) ?? (known.Length == 0 ? $"No {kind} is at hand." : $"Known are: {string.Join(", ", known)}.");
        if (_problems.Count > 0)
            remedy += $" ({_problems.Count} {(_problems.Count == 1 ? "was" : "were")} left out: see imbrex catalog.)";
        throw new InputException($"There is no {kind} '{name}'.", name, remedy);
    }
}
