namespace Imbrex.Hosting.Plugins;

/// <summary>
/// Plugins that have not been loaded yet. Which comes first matters only between plugins that may hold the same kind of part, since of two parts with one name the first
/// stays: a plugin that cannot hold what is sought is passed over.
/// </summary>
internal sealed class UnreadPlugins(IEnumerable<PluginFile> plugins)
{
    private readonly List<PluginFile> _plugins = [.. plugins];
    private readonly Dictionary<PluginFile, PartKinds> _kinds = [];

    /// <summary>Takes the next plugin to be loaded in search of some kinds of parts, or null where there is none.</summary>
    public PluginFile? Next(PartKinds wanted)
    {
        int next = First(wanted);
        if (next < 0)
            return null;
        // An earlier one that shares another kind with it must not lose its place.
        for (int earlier; (earlier = First(Kinds(_plugins[next]))) < next;)
            next = earlier;
        PluginFile plugin = _plugins[next];
        _plugins.RemoveAt(next);
        return plugin;
    }

    private int First(PartKinds wanted) => wanted == PartKinds.All
        ? Math.Min(0, _plugins.Count - 1)
        : _plugins.FindIndex(plugin => (Kinds(plugin) & wanted) != 0);

    // What names no contract holds no part, which is told when everything is listed.
    private PartKinds Kinds(PluginFile plugin)
    {
        if (!_kinds.TryGetValue(plugin, out PartKinds kinds))
            _kinds.Add(plugin, kinds = PluginContract.Kinds(plugin));
        return kinds;
    }
}
