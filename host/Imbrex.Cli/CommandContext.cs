using Imbrex.Cli.Output;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Scripts;

namespace Imbrex.Cli;

/// <summary>What a verb works with. Plugins are loaded and compilers made ready when a verb first asks for them.</summary>
internal sealed class CommandContext : IDisposable
{
    private readonly Lazy<Catalogue> _catalogue;

    public CommandContext(Terminal terminal, CancellationToken cancellation)
    {
        Terminal = terminal;
        Scripts = new(Folders.ScriptCache is { } folder ? new ScriptCache(folder) : null);
        _catalogue = new(() => Catalogue.Load(Folders.Plugins, new LayoutScripts(Scripts.Compiler, Scripts.Executor, cancellation, Scripts.Answers),
            new AdapterScripts(Scripts.Compiler, () => Scripts.Adapters, cancellation)));
    }

    public Terminal Terminal { get; }

    /// <summary>Compiles scripts, and runs those of layouts behind walls.</summary>
    public IsolatedScripts Scripts { get; }

    /// <summary>Layouts, adapters and export targets at hand.</summary>
    public Catalogue Catalogue => _catalogue.Value;

    public void Dispose()
    {
        Scripts.Dispose();
        Terminal.Dispose();
    }
}
