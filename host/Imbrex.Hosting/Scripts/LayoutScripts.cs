using Imbrex.Sdk;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Hosting.Scripts;

/// <summary>Opens layout scripts.</summary>
/// <param name="compiler">Compiles them.</param>
/// <param name="executor">Runs them.</param>
/// <param name="cancellation">The user's wish to stop, which also ends the wait for a running script.</param>
public sealed class LayoutScripts(IScriptCompiler compiler, IScriptExecutor executor, CancellationToken cancellation)
{
    /// <summary>Whether the name of a layout means a script: it ends in .csx, or it is the path of an existing file.</summary>
    public static bool IsScript(string nameOrPath) => nameOrPath.EndsWith(".csx", StringComparison.OrdinalIgnoreCase) || File.Exists(nameOrPath);

    /// <summary>Reads, compiles and probes a script.</summary>
    /// <param name="path">The script.</param>
    /// <param name="about">What it will be asked, if known.</param>
    /// <exception cref="InputException">It cannot be read, does not compile, fails, or places no tile.</exception>
    public ScriptLayout Open(string path, LayoutRequest? about = null) => Open(ScriptSource.Read(path), about);

    /// <summary>Compiles and probes a script that has been read; see <see cref="Open(string, LayoutRequest?)"/>.</summary>
    public ScriptLayout Open(ScriptSource source, LayoutRequest? about = null) =>
        new(compiler.Compile(source, ScriptKind.Layout), executor, about, cancellation);
}
