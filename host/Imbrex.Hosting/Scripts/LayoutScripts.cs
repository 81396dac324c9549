using Imbrex.Sdk;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>Opens layout scripts.</summary>
/// <param name="compiler">Compiles them.</param>
/// <param name="executor">Runs them.</param>
/// <param name="cancellation">The user's wish to stop, which also ends the wait for a running script.</param>
/// <param name="answers">What they have answered before, or null.</param>
public sealed class LayoutScripts(IScriptCompiler compiler, IScriptExecutor executor, CancellationToken cancellation, ScriptAnswers? answers = null)
{
    /// <summary>Whether the name of a layout means a script: it ends in .csx, or it is the path of an existing file.</summary>
    public static bool IsScript(string nameOrPath) => nameOrPath.EndsWith(".csx", StringComparison.OrdinalIgnoreCase) || File.Exists(nameOrPath);

    /// <summary>A new plan begins, for which scripts, those of adapters too, have their time again.</summary>
    internal void Renew() => executor.Renew();

    /// <summary>Reads and probes a script. It is compiled, and a process started for it, only where it has not been asked the same before.</summary>
    /// <param name="path">The script.</param>
    /// <param name="about">What it will be asked, if known.</param>
    /// <exception cref="InputException">It cannot be read, does not compile, fails, or places no tile.</exception>
    public ScriptLayout Open(string path, LayoutRequest? about = null) => Open(ScriptSource.Read(path), about);

    /// <summary>Probes a script that has been read; see <see cref="Open(string, LayoutRequest?)"/>.</summary>
    public ScriptLayout Open(ScriptSource source, LayoutRequest? about = null)
    {
        var compiled = new Lazy<CompiledScript>(() => Compiled(source));
        return new(source, request => Run(source, compiled, request), about);
    }

    private LayoutScriptResult Run(ScriptSource source, Lazy<CompiledScript> compiled, LayoutScriptRequest request)
    {
        if (answers?.Find(source, request) is { } known)
            return known;
        LayoutScriptResult result = executor.Run(compiled.Value, request, cancellation);
        answers?.Keep(source, request, result);
        return result;
    }

    private CompiledScript Compiled(ScriptSource source)
    {
        ScriptWords.Demand(source, ScriptKind.Layout);
        executor.Prepare();
        return compiler.Compile(source, ScriptKind.Layout);
    }
}
