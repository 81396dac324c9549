namespace Imbrex.Engine.Merging;

/// <summary>Times the stages of long work by a clock that the caller gives, and passes their progress on.</summary>
/// <param name="time">The clock.</param>
/// <param name="progress">Receives every stage's progress.</param>
public sealed class StageClock(TimeProvider time, IProgress<StageProgress> progress)
{
    private readonly List<StageTime> _stages = [];

    /// <summary>The stages done so far.</summary>
    public IReadOnlyList<StageTime> Stages => _stages;

    /// <summary>Runs one stage.</summary>
    /// <param name="stage">Its name, such as <c>registering</c>.</param>
    /// <param name="work">The work, which reports the done part, 0 to 1.</param>
    public T Run<T>(string stage, Func<IProgress<double>, T> work)
    {
        long start = time.GetTimestamp();
        progress.Report(new(stage, 0));
        T result = work(new Part(stage, progress));
        progress.Report(new(stage, 1));
        _stages.Add(new(stage, time.GetElapsedTime(start).TotalSeconds));
        return result;
    }

    /// <summary>Runs one stage that reports its own progress.</summary>
    /// <param name="stage">Its name, such as <c>exporting</c>.</param>
    /// <param name="work">The work.</param>
    public async Task<T> RunAsync<T>(string stage, Func<Task<T>> work)
    {
        long start = time.GetTimestamp();
        T result = await work().ConfigureAwait(false);
        _stages.Add(new(stage, time.GetElapsedTime(start).TotalSeconds));
        return result;
    }

    // Reports at once and in order, where Progress<T> would go through the thread pool.
    private sealed class Part(string stage, IProgress<StageProgress> progress) : IProgress<double>
    {
        public void Report(double value) => progress.Report(new(stage, value));
    }
}
