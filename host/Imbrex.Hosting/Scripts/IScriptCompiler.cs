using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>Turns a script into an assembly, without running any of it.</summary>
public interface IScriptCompiler
{
    /// <summary>Compiles a script.</summary>
    /// <exception cref="InputException">It does not compile; with file, line, column and the line itself.</exception>
    CompiledScript Compile(ScriptSource source, ScriptKind kind);
}

/// <summary>A compiled script: plain data that can be sent to another process.</summary>
/// <param name="Source">The text it was made from, for messages.</param>
/// <param name="Kind">What it may do.</param>
/// <param name="Assembly">The assembly.</param>
/// <param name="Symbols">Its portable debug symbols, which lead from code to lines.</param>
public sealed record CompiledScript(ScriptSource Source, ScriptKind Kind, byte[] Assembly, byte[] Symbols);
