using Imbrex.Sdk;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// Runs adapter scripts in a child process. It holds one script, loaded once, and answers for all its backs as long as the program runs; another script gets another child.
/// </summary>
internal sealed class ChildAdapters(ChildProgram program, TimeSpan limit, ScriptAllowance allowance) : IAdapterExecutor, IDisposable
{
    // Backs that one child may hold; a bench whose kit is changed all day makes many.
    private const int MostBacks = 64;

    private readonly Lock _lock = new();
    private readonly SpareChild _spare = new(program, ChildRole.Adapt);
    private readonly HashSet<int> _built = [];
    private ChildProcess? _child;
    private string? _script;
    private int _numbers;
    private bool _hasAnswered;

    public void Prepare()
    {
        lock (_lock)
        {
            if (_child is null)
                _spare.Prepare();
        }
    }

    public PartDescription Describe(CompiledScript script, CancellationToken cancellation) =>
        Ask(script, null, AdapterMessages.Describe(), reader => PlainResult.Checked(ChildMessages.ReadDescription(reader), "adapter"), script.Source.Path, cancellation);

    public Carriage Build(CompiledScript script, BackSpec spec, CancellationToken cancellation) => new ChildCarriage(this, script, spec, Interlocked.Increment(ref _numbers), cancellation);

    /// <summary>Asks the child that holds a script.</summary>
    /// <param name="script">The script.</param>
    /// <param name="back">The number of a back and the question that makes it, asked first where this child does not have it yet; or null.</param>
    /// <param name="question">The question; null for the answer to the one that makes the back.</param>
    /// <param name="read">Reads the answer, and looks at it.</param>
    /// <param name="where">Where to look for a fault that has no line of its own.</param>
    /// <param name="cancellation">Ends the wait.</param>
    public T Ask<T>(CompiledScript script, (int Number, byte[] Build)? back, byte[]? question, Func<BinaryReader, T> read, string where, CancellationToken cancellation)
    {
        lock (_lock)
        {
            try
            {
                return Read(script, Answer(script, back, question, cancellation), read, where);
            }
            catch (TimeoutException)
            {
                Drop();
                throw ScriptFaults.TooSlow(script.Source, limit, allowance, where);
            }
            catch (ChildDiedException e)
            {
                Drop();
                throw ScriptFaults.Died(script.Source, e.ErrorText, where);
            }
            catch (OperationCanceledException)
            {
                Drop();
                throw;
            }
        }
    }

    /// <summary>Ends the child as somebody else might.</summary>
    internal void KillChild()
    {
        lock (_lock)
            _child?.Kill();
    }

    public void Dispose()
    {
        lock (_lock)
            Drop();
        _spare.Dispose();
    }

    // A child that has answered before and is gone without a word has used up its processor time, or somebody has ended it: the next one goes on.
    private byte[] Answer(CompiledScript script, (int Number, byte[] Build)? back, byte[]? question, CancellationToken cancellation)
    {
        bool hadAnswered = _hasAnswered;
        try
        {
            return Send(script, back, question, cancellation);
        }
        catch (ChildDiedException e) when (hadAnswered && e.ErrorText.Length == 0)
        {
            Drop();
            return Send(script, back, question, cancellation);
        }
    }

    private byte[] Send(CompiledScript script, (int Number, byte[] Build)? back, byte[]? question, CancellationToken cancellation)
    {
        if (_child is null || _script != script.Source.Sha256 || _built.Count >= MostBacks)
        {
            Drop();
            (_child, _script) = (_spare.Take(), script.Source.Sha256);
            if (allowance.Ask(_child, AdapterMessages.Load(script.Assembly, script.Symbols), limit, cancellation) is [0, ..] refused)
                return refused;
        }
        byte[]? answer = null;
        if (back is { } wanted && (question is null || !_built.Contains(wanted.Number)))
        {
            answer = allowance.Ask(_child, wanted.Build, limit, cancellation);
            if (answer is [0, ..])
                return answer;
            _built.Add(wanted.Number);
        }
        if (question is not null)
            answer = allowance.Ask(_child, question, limit, cancellation);
        _hasAnswered = true;
        return answer!;
    }

    private static T Read<T>(CompiledScript script, byte[] answer, Func<BinaryReader, T> read, string where)
    {
        ChildFault? fault = null;
        try
        {
            T? result = Frames.Take(answer, reader =>
            {
                if (reader.ReadBoolean())
                    return read(reader);
                fault = ChildMessages.ReadFault(reader);
                return default;
            });
            if (fault is null)
                return result!;
        }
        catch (Exception e) when (e is InvalidDataException or InputException or ArgumentException or OverflowException)
        {
            throw new InputException("What the script gave back is no back.", script.Source.Path, "Use the words of the SDK only.", e);
        }
        // A place in the kit stands for itself; a word of the script has its line.
        throw ScriptFaults.Of(script.Source, fault with { Where = fault.Where is { } place && place.StartsWith("back.", StringComparison.Ordinal) ? place : where });
    }

    private void Drop()
    {
        _child?.Dispose();
        _child = null;
        _built.Clear();
        _hasAnswered = false;
    }
}
