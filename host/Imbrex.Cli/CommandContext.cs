using Imbrex.Cli.Output;
using Imbrex.Cli.Trust;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Packages;
using Imbrex.Hosting.Scripts;
using Imbrex.Hosting.Trust;

namespace Imbrex.Cli;

/// <summary>What a verb works with. Plugins are loaded and compilers made ready when a verb first asks for them.</summary>
internal sealed class CommandContext : IDisposable
{
    private readonly Lazy<Catalogue> _catalogue;
    private readonly Lazy<TrustStore> _trust = new(() => TrustStore.Open(Folders.Trust));

    public CommandContext(Terminal terminal, CancellationToken cancellation)
    {
        Terminal = terminal;
        Question = new(terminal, cancellation);
        Scripts = new(Folders.ScriptCache is { } folder ? new ScriptCache(folder) : null);
        Layouts = new(Scripts.Compiler, Scripts.Executor, cancellation, Scripts.Answers);
        Adapters = new(Scripts.Compiler, () => Scripts.Adapters, cancellation);
        var trust = new PluginTrust(() => Trust, Packages, plugin => Question.Ask(TrustMatters.Of(plugin), given: false));
        _catalogue = new(() => Catalogue.Load(Folders.Plugins, Layouts, Adapters, trust, Packages));
    }

    public Terminal Terminal { get; }

    /// <summary>Asks before anything runs with the user's own rights.</summary>
    public TrustQuestion Question { get; }

    /// <summary>What the user trusts.</summary>
    public TrustStore Trust => _trust.Value;

    /// <summary>Installed packages.</summary>
    public PackageStore Packages { get; } = new(Folders.Packages);

    /// <summary>Compiles scripts, and runs those of layouts behind walls.</summary>
    public IsolatedScripts Scripts { get; }

    /// <summary>Opens layout scripts.</summary>
    public LayoutScripts Layouts { get; }

    /// <summary>Opens adapter scripts.</summary>
    public AdapterScripts Adapters { get; }

    /// <summary>Layouts, adapters and export targets at hand.</summary>
    public Catalogue Catalogue => _catalogue.Value;

    public void Dispose()
    {
        Scripts.Dispose();
        Terminal.Dispose();
    }
}
