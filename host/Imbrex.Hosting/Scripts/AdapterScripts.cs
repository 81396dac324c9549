using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>Opens adapter scripts. A script is opened once, however many backs of a run name it.</summary>
/// <param name="compiler">Compiles them.</param>
/// <param name="executor">Runs them; asked for when the first is opened.</param>
/// <param name="cancellation">The user's wish to stop, which also ends the wait for a running script.</param>
public sealed class AdapterScripts(IScriptCompiler compiler, Func<IAdapterExecutor> executor, CancellationToken cancellation)
{
    private readonly Lock _lock = new();
    private ScriptAdapter? _last;

    /// <summary>Whether the adapter of a kit is a script: it ends in .csx.</summary>
    public static bool IsScript(string adapter) => adapter.EndsWith(".csx", StringComparison.OrdinalIgnoreCase);

    /// <summary>Reads, compiles and asks a script what it is.</summary>
    /// <exception cref="InputException">It cannot be read, is no adapter, does not compile, or fails.</exception>
    public ScriptAdapter Open(string path)
    {
        // The process that it will run in starts while the script is read.
        executor().Prepare();
        return Open(ScriptSource.Read(path));
    }

    /// <summary>Compiles a script that has been read, and asks it what it is; see <see cref="Open(string)"/>.</summary>
    public ScriptAdapter Open(ScriptSource source)
    {
        executor().Prepare();
        lock (_lock)
        {
            if (_last is not { } known || known.Sha256 != source.Sha256 || known.Path != source.Path)
            {
                ScriptWords.Demand(source, ScriptKind.Adapter);
                _last = new(compiler.Compile(source, ScriptKind.Adapter), executor(), cancellation);
            }
            return _last;
        }
    }
}
