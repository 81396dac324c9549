using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// Runs layout scripts in child processes, one for each script: the two or more runs of one script share it, another script never does.
/// </summary>
internal sealed class ChildExecutor(ChildProgram program, TimeSpan limit, ScriptAllowance allowance) : IScriptExecutor, IDisposable
{
    private readonly Lock _lock = new();
    private readonly SpareChild _spare = new(program, ChildRole.Execute);
    private ChildProcess? _child;
    private string? _script;

    /// <summary>Whether a spare child is kept ready for the next script.</summary>
    public bool KeepsSpare { get; set; }

    /// <summary>Begins to start a child for the next script.</summary>
    public void Prepare() => _spare.Prepare();

    public void Renew() => allowance.Renew();

    public LayoutScriptResult Run(CompiledScript script, LayoutScriptRequest request, CancellationToken cancellation)
    {
        lock (_lock)
        {
            byte[] answer;
            try
            {
                answer = allowance.Ask(ChildFor(script), ChildMessages.Execute(script.Assembly, script.Symbols, request), limit, cancellation);
            }
            catch (TimeoutException)
            {
                Drop();
                throw ScriptFaults.TooSlow(script.Source, limit, allowance);
            }
            catch (ChildDiedException e)
            {
                Drop();
                throw ScriptFaults.Died(script.Source, e.ErrorText);
            }
            catch
            {
                Drop();
                throw;
            }
            return Read(script, request, answer);
        }
    }

    public void Dispose()
    {
        Drop();
        _spare.Dispose();
    }

    private static LayoutScriptResult Read(CompiledScript script, LayoutScriptRequest request, byte[] answer)
    {
        LayoutScriptResult? result;
        ChildFault? fault;
        try
        {
            (result, fault) = ChildMessages.Answer(answer);
            result = result is null ? null : PlainResult.Checked(result, request.IsProbe);
        }
        catch (Exception e) when (e is InvalidDataException or InputException or ArgumentException or OverflowException)
        {
            throw new InputException("What the script gave back is no layout.", script.Source.Path, "Use the words of the SDK only.", e);
        }
        return result ?? throw ScriptFaults.Of(script.Source, fault!);
    }

    private ChildProcess ChildFor(CompiledScript script)
    {
        if (_child is null || _script != script.Source.Sha256)
        {
            Drop();
            (_child, _script) = (_spare.Take(), script.Source.Sha256);
            if (KeepsSpare)
                _spare.Prepare();
        }
        return _child;
    }

    private void Drop()
    {
        _child?.Dispose();
        _child = null;
    }
}
