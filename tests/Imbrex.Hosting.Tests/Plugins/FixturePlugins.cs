using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Plugins;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Tests.Scripts;
using Imbrex.Hosting.Trust;

namespace Imbrex.Hosting.Tests.Plugins;

/// <summary>The fixture plugins, laid out beside the tests by the build.</summary>
public static class FixturePlugins
{
    public static PluginFolder Folder { get; } = new(Path.Combine(AppContext.BaseDirectory, "plugins"));

    public static Catalogue Load(params PluginFolder[] folders) => Load(PluginLimits.Usual, folders);

    public static Catalogue Load(PluginLimits limits, params PluginFolder[] folders) => Catalogue.Load(
        folders, new LayoutScripts(new RoslynScriptCompiler(), new InProcessExecutor(), CancellationToken.None), trust: new Trusting(), limits: limits);

    // The fixtures are our own.
    private sealed class Trusting : IPluginTrust
    {
        public string? Refusal(PluginFile plugin) => null;
    }
}
