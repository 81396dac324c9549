using System.Runtime.ExceptionServices;

namespace Imbrex.Engine;

/// <summary>A fixed number of threads that take numbered pieces of work in order, each with its own bench of buffers.</summary>
internal static class WorkerCrew
{
    /// <summary>Does all pieces; the first failure stops the rest and is thrown as it was.</summary>
    public static void Run<TBench>(int workers, int pieces, Func<TBench> makeBench, Action<TBench, int> work, CancellationToken cancellation)
    {
        int next = -1;
        ExceptionDispatchInfo? failure = null;
        void Labour()
        {
            try
            {
                TBench bench = makeBench();
                for (int piece; failure is null && (piece = Interlocked.Increment(ref next)) < pieces;)
                {
                    cancellation.ThrowIfCancellationRequested();
                    work(bench, piece);
                }
            }
#pragma warning disable CA1031 // Whatever a thread throws is thrown again by the caller's.
            catch (Exception e)
#pragma warning restore CA1031
            {
                Interlocked.CompareExchange(ref failure, ExceptionDispatchInfo.Capture(e), null);
            }
        }
        Thread[] crew = [.. Enumerable.Range(1, Math.Clamp(workers, 1, Math.Max(pieces, 1)) - 1).Select(_ => new Thread(Labour) { IsBackground = true })];
        foreach (Thread worker in crew)
            worker.Start();
        Labour();
        foreach (Thread worker in crew)
            worker.Join();
        failure?.Throw();
    }
}
