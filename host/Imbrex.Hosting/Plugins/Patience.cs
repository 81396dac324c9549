using System.Runtime.ExceptionServices;

namespace Imbrex.Hosting.Plugins;

/// <summary>
/// Calls what may never return. .NET cannot end a thread: one that hangs is left behind, and as a background thread it does not keep the program from ending.
/// </summary>
internal static class Patience
{
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(100);

    /// <summary>Calls on a thread of its own.</summary>
    /// <param name="call">What to call.</param>
    /// <param name="limit">How long to wait.</param>
    /// <exception cref="TimeoutException">It has not returned.</exception>
    public static T Wait<T>(Func<T> call, TimeSpan limit) => Wait(call, limit, static () => null);

    /// <summary>Calls on a thread of its own, for as long as nothing is found to hang.</summary>
    /// <param name="call">What to call.</param>
    /// <param name="hang">Looked at now and then: what to throw because of something that hangs in there, or null.</param>
    public static T Watch<T>(Func<T> call, Func<Exception?> hang) => Wait(call, Timeout.InfiniteTimeSpan, hang);

    private static T Wait<T>(Func<T> call, TimeSpan limit, Func<Exception?> hang)
    {
        T? result = default;
        ExceptionDispatchInfo? failure = null;
        var thread = new Thread(() =>
        {
            try
            {
                result = call();
            }
            catch (Exception e)
            {
                failure = ExceptionDispatchInfo.Capture(e);
            }
        })
        { IsBackground = true, Name = "plugin" };
        thread.Start();
        long end = limit == Timeout.InfiniteTimeSpan ? long.MaxValue : Environment.TickCount64 + (long)limit.TotalMilliseconds;
        while (!thread.Join(Look))
        {
            if (hang() is { } hung)
                throw hung;
            if (Environment.TickCount64 >= end)
                throw new TimeoutException();
        }
        failure?.Throw();
        return result!;
    }
}
