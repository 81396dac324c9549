using Imbrex.Hosting.Scripts.Children;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts;

/// <summary>Compiles and runs a stranger's scripts behind walls: the compiler and the executor that the program uses.</summary>
public sealed class IsolatedScripts : IDisposable
{
    private const int WarmingTurns = 5;

    private readonly ChildProgram _program;
    private readonly ChildCompiler _compiler;
    private readonly ChildExecutor _executor;
    private readonly Lazy<ChildAdapters> _adapters;

    /// <summary>Makes both; no process is started yet.</summary>
    /// <param name="cache">Where compiled scripts are kept, or null.</param>
    public IsolatedScripts(ScriptCache? cache) : this(cache, ChildProgram.Running)
    {
    }

    internal IsolatedScripts(ScriptCache? cache, ChildProgram program)
    {
        var allowance = new ScriptAllowance(ScriptAllowance.Usual);
        _program = program;
        _compiler = new(program, new RoslynScriptCompiler(), ChildLimits.Of(ChildRole.Compile).Time);
        _executor = new(program, ChildLimits.Of(ChildRole.Execute).Time, allowance);
        _adapters = new(() => new(program, ChildLimits.Of(ChildRole.Adapt).Time, allowance));
        Compiler = cache is null ? _compiler : new CachedScriptCompiler(_compiler, cache);
        Answers = cache is null ? null : new(cache);
    }

    public IScriptCompiler Compiler { get; }

    public IScriptExecutor Executor => _executor;

    /// <summary>Runs adapter scripts.</summary>
    public IAdapterExecutor Adapters => _adapters.Value;

    /// <summary>What scripts have answered, or null where nothing is kept.</summary>
    public ScriptAnswers? Answers { get; }

    /// <summary>
    /// Keeps a compiler and a spare process ready from now on, and compiles a script once for nothing: a compiler that has just been loaded
    /// takes seconds.
    /// </summary>
    public void KeepWarm(string script)
    {
        _executor.KeepsSpare = true;
        if (Answers is not null)
            Answers.Keeps = false;
        _executor.Prepare();
        try
        {
            // Once is not enough: what the compiler runs often is compiled better in the background after some turns, which is felt while it lasts.
            for (int turn = 0; turn < WarmingTurns; turn++)
                _compiler.Compile(ScriptSource.Read(script), ScriptKind.Layout);
        }
        catch (ImbrexException)
        {
            // A script with an error has warmed it too, and whoever asks for it is told.
        }
    }

    /// <summary>The walls that this machine gives, in words. A child is started for it that tries them from inside.</summary>
    /// <returns>Each wall with whether it stands and what it is.</returns>
    /// <exception cref="InputException">No child can be started.</exception>
    public IReadOnlyList<(bool Stands, string Wall)> Walls()
    {
        (ChildWalls walls, Refusals refusals) = TryWalls(_program);
        ChildLimits limits = ChildLimits.Of(ChildRole.Execute);
        return
        [
            (true, $"a process of their own without the compiler, ended after {limits.Time.TotalSeconds:0} s"),
            (walls.HasFlag(ChildWalls.Heap), $"memory up to {limits.Heap >> 20} MB"),
            (walls.HasFlag(ChildWalls.Landlock) && refusals.HasFlag(Refusals.ReadFile | Refusals.ListFolder | Refusals.WriteFile | Refusals.SeeProcesses), "no files but the runtime's own (Landlock)"),
            (walls.HasFlag(ChildWalls.Resources), "no file written, few opened, all memory limited (resource limits)"),
            (walls.HasFlag(ChildWalls.SystemCalls) && refusals.HasFlag(Refusals.OpenSocket | Refusals.StartProgram), "no network, no other program (seccomp)"),
        ];
    }

    internal static (ChildWalls Walls, Refusals Refusals) TryWalls(ChildProgram program)
    {
        using ChildProcess child = ChildProcess.Start(program, ChildRole.Trial);
        ChildWalls walls = child.Walls(CancellationToken.None);
        try
        {
            return (walls, (Refusals)child.Ask([], ChildLimits.Start, CancellationToken.None).Single());
        }
        catch (Exception e) when (e is ChildDiedException or TimeoutException)
        {
            // It went down over a wall that does more than refuse.
            return (walls, Refusals.None);
        }
    }

    public void Dispose()
    {
        _compiler.Dispose();
        _executor.Dispose();
        if (_adapters.IsValueCreated)
            _adapters.Value.Dispose();
    }
}
