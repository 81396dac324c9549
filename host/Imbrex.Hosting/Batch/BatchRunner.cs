using Imbrex.Hosting.Scripts;
using Imbrex.Sdk;
using Imbrex.Sdk.Scripting;

namespace Imbrex.Hosting.Batch;

/// <summary>Runs a batch script in this process, with the user's own rights.</summary>
public sealed class BatchRunner(IScriptCompiler compiler)
{
    // How long a cancelled script may take to tidy up.
    private static readonly TimeSpan Grace = TimeSpan.FromSeconds(5);

    /// <summary>Compiles and runs a script.</summary>
    /// <param name="source">The script.</param>
    /// <param name="globals">The words that it may use.</param>
    /// <returns>The script's verdict: its final expression if that is an exit code (0, 2 or 3), otherwise 0.</returns>
    /// <exception cref="ImbrexException">It cannot be read, does not compile, or throws; with the script's own line.</exception>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public async Task<int> RunAsync(ScriptSource source, BatchScript globals)
    {
        CompiledScript script = compiler.Compile(source, ScriptKind.Batch);
        Task<object?> run = Task.Factory.StartNew(
            () => ExecuteAsync(script, globals), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default).Unwrap();
        object? value = await WithGraceAsync(run, globals.Cancellation);
        return value switch
        {
            int code and (0 or 2 or 3) => code,
            int code => throw new InputException($"The script ends with {code}.", source.Path, "End it with 0 (done), 2 (refused), 3 (something left out), or no value."),
            _ => 0,
        };
    }

    private static async Task<object?> ExecuteAsync(CompiledScript script, BatchScript globals)
    {
        try
        {
            using var loaded = new LoadedScript(script.Assembly, script.Symbols);
            return await loaded.RunAsync(globals);
        }
        catch (Exception e) when (e is not OperationCanceledException || !globals.Cancellation.IsCancellationRequested)
        {
            throw ScriptFaults.Thrown(script.Source, e);
        }
    }

    private static async Task<object?> WithGraceAsync(Task<object?> run, CancellationToken cancellation)
    {
        try
        {
            return await run.WaitAsync(cancellation);
        }
        catch (OperationCanceledException) when (!run.IsCompleted)
        {
            // The steps hear the token and remove what they have half written; a script that does not listen is left behind.
            await Task.WhenAny(run, Task.Delay(Grace, CancellationToken.None));
            throw;
        }
    }
}
