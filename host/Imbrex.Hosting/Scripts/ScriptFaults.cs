using System.Diagnostics;
using System.Text.RegularExpressions;
using Imbrex.Hosting.Scripts.Children;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>Puts what a running script did wrong into words, at the script's own line.</summary>
internal static partial class ScriptFaults
{
    private const string NoEnd = "Give the recursion an end, or use a loop.";

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

    /// <summary>The same as plain data.</summary>
    public static ChildFault Plain(Exception exception)
    {
        int line = Line(exception) ?? 0;
        if (exception is InsufficientExecutionStackException)
            return new(false, "The script calls itself without end.", null, line, NoEnd);
        return exception is ImbrexException e
            ? new(e is RefusalException, e.Message, null, line, e.Remedy)
            : new(false, $"The script failed with {exception.GetType().Name}: {exception.Message}", null, line, "Correct the script.");
    }

    public static ChildFault TooMuchMemory { get; } = new(false,
        $"The script needs more than the {ChildLimits.Of(ChildRole.Execute).Heap >> 20} MB that a script may have.", null, 0, "Look for a list or a text that grows without end.");

    /// <summary>The error that a child has told.</summary>
    public static ImbrexException Of(ScriptSource source, ChildFault fault)
    {
        string where = fault.Line > 0 ? source.Place(fault.Line) : fault.Where ?? source.Path;
        return fault.IsRefusal ? new RefusalException(fault.What, where, fault.Remedy) : new InputException(fault.What, where, fault.Remedy);
    }

    /// <summary>The error for a script that was not waited for any longer.</summary>
    /// <param name="source">The script.</param>
    /// <param name="limit">Time for one answer.</param>
    /// <param name="allowance">Time for all of them.</param>
    /// <param name="where">Where to look.</param>
    public static InputException TooSlow(ScriptSource source, TimeSpan limit, ScriptAllowance allowance, string? where = null) => allowance.IsUsedUp
        ? new($"The scripts of this run took more than {allowance.Most.TotalSeconds:0.#} s in all.", where ?? source.Path, "Make the slow ones quicker: a plan asks a script many times.")
        : new($"The script did not finish within {limit.TotalSeconds:0.#} s.", where ?? source.Path, "Look for a loop that does not end.");

    public static InputException TooSlowToCompile(ScriptSource source, TimeSpan limit) => new(
        $"The script could not be compiled within {limit.TotalSeconds:0.#} s.", source.Path, "Write it in smaller steps, with records instead of nested tuples.");

    /// <summary>The error for a child that went down with a script.</summary>
    /// <param name="source">The script.</param>
    /// <param name="error">What the runtime wrote at its end.</param>
    /// <param name="where">Where to look if the runtime's words do not tell.</param>
    public static InputException Died(ScriptSource source, string error, string? where = null)
    {
        if (error.Contains("Stack overflow", StringComparison.Ordinal))
        {
            string? function = RecursiveFunction().Match(error) is { Success: true } match ? match.Groups[1].Value : null;
            // What the compiler has made of an iterator or a lambda has a name that the script does not know.
            int line = function is null ? 0 : 1 + source.Lines.ToList().FindIndex(text => Regex.IsMatch(text, $@"\b{function}\s*[<(]"));
            return new($"The script calls {(line > 0 ? $"'{function}' from itself" : "itself")} without end.", line > 0 ? source.Place(line) : where ?? source.Path,
                NoEnd);
        }
        if (error.Contains("Out of memory", StringComparison.OrdinalIgnoreCase))
            return (InputException)Of(source, TooMuchMemory with { Where = where });
        return new("The script ended the process that it ran in.", where ?? source.Path, "Look for something that needs too much memory or time.");
    }

    // The topmost frame in the script; those above it are the SDK's and the framework's.
    private static int? Line(Exception exception) => new StackTrace(exception, fNeedFileInfo: true).GetFrames()
        .Where(frame => frame.GetFileName() == LoadedScript.DocumentName)
        .Select(frame => (int?)frame.GetFileLineNumber())
        .FirstOrDefault();

    // A function F of the script is Submission#0.F, and one within another g__F|0_0.
    [GeneratedRegex(@"Submission#0\S*?(?:g__|[.+])([A-Za-z_][A-Za-z0-9_]*)[|(]")]
    private static partial Regex RecursiveFunction();
}
