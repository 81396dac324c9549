using System.Reflection;
using System.Runtime.Loader;
using Imbrex.Sdk;
using McMaster.NETCore.Plugins.Loader;

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
/// <remarks>
/// The library's builder, not its <c>PluginLoader</c>: that one reads the program's runtime configuration each time for folders to search, of which there are none, and takes
/// longer over it than over everything else. NetVips is named, not touched: to touch it loads libvips.
/// </remarks>
internal sealed class IsolatedPluginLoader : IPluginLoader
{
    private static readonly AssemblyName[] Shared = [typeof(SdkContract).Assembly.GetName(), new("NetVips")];

    public Assembly Load(string path)
    {
        AssemblyLoadContextBuilder builder = new AssemblyLoadContextBuilder().SetMainAssemblyPath(path).SetDefaultContext(AssemblyLoadContext.Default).IsLazyLoaded(true);
        foreach (AssemblyName name in Shared)
            builder.PreferDefaultLoadContextAssembly(name);
        return builder.Build().LoadFromAssemblyPath(path);
    }
}
