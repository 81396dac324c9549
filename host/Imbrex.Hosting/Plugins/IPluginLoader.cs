using System.Reflection;
using Imbrex.Sdk;
using McMaster.NETCore.Plugins;

namespace Imbrex.Hosting.Plugins;

/// <summary>Loads a plugin's assembly so that its own libraries stay its own.</summary>
internal interface IPluginLoader
{
    Assembly Load(string path);
}

/// <summary>
/// A load context for each plugin. Types are the same only if their assembly is the same: the SDK is shared, or no plugin's layout would
/// be an <c>IMosaicLayout</c> of ours; NetVips is shared, because libvips may be in a process only once. Everything else a plugin
/// brings along is private to it.
/// </summary>
internal sealed class IsolatedPluginLoader : IPluginLoader
{
    private static readonly Type[] Shared = [typeof(SdkContract), typeof(NetVips.Image)];

    public Assembly Load(string path) => PluginLoader.CreateFromAssemblyFile(path, Shared).LoadDefaultAssembly();
}
