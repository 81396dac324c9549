namespace Imbrex.Hosting.Scripts.Children;

/// <summary>A child that is started before it is needed.</summary>
internal sealed class SpareChild(ChildProgram program, ChildRole role) : IDisposable
{
    private readonly Lock _lock = new();
    private Task<ChildProcess>? _spare;
    private bool _ended;

    /// <summary>Begins to start a child, unless one is ready.</summary>
    public void Prepare()
    {
        lock (_lock)
        {
            if (!_ended)
                _spare ??= Task.Run(() => ChildProcess.Start(program, role));
        }
    }

    /// <summary>The child that is ready, or a new one.</summary>
    public ChildProcess Take()
    {
        Task<ChildProcess>? spare;
        lock (_lock)
            (spare, _spare) = (_spare, null);
        return spare?.GetAwaiter().GetResult() ?? ChildProcess.Start(program, role);
    }

    public void Dispose()
    {
        Task<ChildProcess>? spare;
        lock (_lock)
            (spare, _spare, _ended) = (_spare, null, true);
        // The program is about to end, and the child with it: its input closes.
        _ = spare?.ContinueWith(started => started.Result.Dispose(), CancellationToken.None, TaskContinuationOptions.OnlyOnRanToCompletion, TaskScheduler.Default);
    }
}
