using Imbrex.Cli.Output;
using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;

namespace Imbrex.Cli;

/// <summary>What a verb works with. Plugins are loaded and compilers made ready when a verb first asks for them.</summary>
internal sealed class CommandContext : IDisposable
{
    private readonly Lazy<Catalogue> _catalogue;

    public CommandContext(Terminal terminal, CancellationToken cancellation)
    {
        Terminal = terminal;
        var roslyn = new RoslynScriptCompiler();
        Compiler = Folders.ScriptCache is { } folder ? new CachedScriptCompiler(roslyn, new ScriptCache(folder)) : roslyn;
        _catalogue = new(() => Catalogue.Load(
            Folders.Plugins, new LayoutScripts(Compiler, new InProcessExecutor(InProcessExecutor.UsualLimit), cancellation)));
    }

    public Terminal Terminal { get; }

    public IScriptCompiler Compiler { get; }

    /// <summary>Layouts, adapters and export targets at hand.</summary>
    public Catalogue Catalogue => _catalogue.Value;

    /// <summary>Compiles a script once for nothing, so that the next time is quick: a compiler that has just been loaded takes seconds.</summary>
    public static void WarmCompiler(string script)
    {
        try
        {
            new RoslynScriptCompiler().Compile(ScriptSource.Read(script), ScriptKind.Layout);
        }
        catch (ImbrexException)
        {
            // A script with an error has warmed it too, and whoever asks for it is told.
        }
    }

    public void Dispose() => Terminal.Dispose();
}
