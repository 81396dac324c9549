using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// Runs layout scripts in this process, on a thread of their own. Nothing can stop a thread in .NET: a script that outlives its time is
/// reported and left behind until the program ends.
/// </summary>
public sealed class InProcessExecutor(TimeSpan limit) : IScriptExecutor
{
    /// <summary>Time enough for any honest layout.</summary>
    public static readonly TimeSpan UsualLimit = TimeSpan.FromSeconds(10);

    public LayoutScriptResult Run(CompiledScript script, LayoutScriptRequest request, CancellationToken cancellation)
    {
        Task<LayoutScriptResult> run = Task.Factory.StartNew(
            () => Execute(script, request), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        try
        {
            return run.WaitAsync(limit, cancellation).GetAwaiter().GetResult();
        }
        catch (TimeoutException) when (!run.IsCompleted)
        {
            throw ScriptFaults.TooSlow(script.Source, limit);
        }
    }

    private static LayoutScriptResult Execute(CompiledScript script, LayoutScriptRequest request)
    {
        var globals = new LayoutScript(request.Request, request.Given);
        try
        {
            using var loaded = new LoadedScript(script);
            loaded.RunAsync(globals).GetAwaiter().GetResult();
            return globals.Result();
        }
        catch (RefusalException) when (request.IsProbe)
        {
            return new(globals.Describe(), []);
        }
        catch (Exception e)
        {
            throw ScriptFaults.Thrown(script.Source, e);
        }
    }
}
