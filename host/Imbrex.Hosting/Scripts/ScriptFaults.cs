using System.Diagnostics;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>Puts what a running script did wrong into words, at the script's own line.</summary>
internal static class ScriptFaults
{
    /// <summary>The error for an exception that came out of a script. What the SDK says keeps its words and its exit code.</summary>
    public static ImbrexException Thrown(ScriptSource source, Exception exception)
    {
        string where = Line(exception) is { } line ? source.Place(line) : source.Path;
        return exception switch
        {
            RefusalException e => new RefusalException(e.Message, where, e.Remedy, e),
            ImbrexException e => new InputException(e.Message, where, e.Remedy, e),
            _ => new InputException($"The script failed with {exception.GetType().Name}: {exception.Message}", where, "Correct the script.", exception),
        };
    }

    public static InputException TooSlow(ScriptSource source, TimeSpan limit) => new(
        $"The script did not finish within {limit.TotalSeconds:0.#} s.", source.Path, "Look for a loop that does not end.");

    // The topmost frame in the script; those above it are the SDK's and the framework's.
    private static int? Line(Exception exception) => new StackTrace(exception, fNeedFileInfo: true).GetFrames()
        .Where(frame => frame.GetFileName() == RoslynScriptCompiler.DocumentName)
        .Select(frame => (int?)frame.GetFileLineNumber())
        .FirstOrDefault();
}
