using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// Compiles layout and adapter scripts in a child process, whose compiler stays warm from one to the next. A batch script, which has the user's own
/// rights, is compiled in this one.
/// </summary>
internal sealed class ChildCompiler(ChildProgram program, IScriptCompiler batches, TimeSpan limit) : IScriptCompiler, IDisposable
{
    private readonly Lock _lock = new();
    private readonly SpareChild _spare = new(program, ChildRole.Compile);
    private ChildProcess? _child;

    /// <summary>Time for one script.</summary>
    public TimeSpan Limit { get; set; } = limit;

    /// <summary>Begins to start the child.</summary>
    public void Prepare() => _spare.Prepare();

    public CompiledScript Compile(ScriptSource source, ScriptKind kind)
    {
        if (!kind.IsConfined())
            return batches.Compile(source, kind);
        lock (_lock)
        {
            byte[] answer;
            try
            {
                answer = (_child ??= _spare.Take()).Ask(ChildMessages.Compile(source, kind), Limit, CancellationToken.None);
            }
            catch (TimeoutException)
            {
                Drop();
                throw ScriptFaults.TooSlowToCompile(source, Limit);
            }
            catch (ChildDiedException)
            {
                Drop();
                throw new InputException("The script is too much for the compiler.", source.Path, "Write it in smaller steps, with less nested in one another.");
            }
            catch
            {
                Drop();
                throw;
            }
            return Read(source, kind, answer);
        }
    }

    public void Dispose()
    {
        Drop();
        _spare.Dispose();
    }

    private static CompiledScript Read(ScriptSource source, ScriptKind kind, byte[] answer)
    {
        try
        {
            (byte[]? assembly, byte[]? symbols, ChildFault? fault) = ChildMessages.Compilation(answer);
            return fault is null ? new(source, kind, assembly!, symbols!) : throw ScriptFaults.Of(source, fault);
        }
        catch (InvalidDataException e)
        {
            throw new InputException("The script could not be compiled.", source.Path, "Write it in smaller steps.", e);
        }
    }

    private void Drop()
    {
        _child?.Dispose();
        _child = null;
    }
}
