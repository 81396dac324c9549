using System.Diagnostics;

namespace Imbrex.Hosting.Scripts;

/// <summary>
/// How long strangers' scripts may work for one plan in all. Each answer has a limit of its own; but a plan asks for thousands, and a script that is a little quicker than the limit each time
/// would hold the program up for hours.
/// </summary>
/// <param name="most">The time for one plan.</param>
internal sealed class ScriptAllowance(TimeSpan most)
{
    /// <summary>Thirty times what a whole check with the adapter in scripts/adapters takes.</summary>
    public static readonly TimeSpan Usual = TimeSpan.FromSeconds(30);

    private long _spent;

    /// <summary>The time for one plan.</summary>
    public TimeSpan Most => most;

    /// <summary>Whether nothing is left.</summary>
    public bool IsUsedUp => Left <= TimeSpan.Zero;

    /// <summary>A new plan begins: what was spent before counts no longer.</summary>
    public void Renew() => Interlocked.Exchange(ref _spent, 0);

    /// <summary>Asks a child, and counts the time until it answers or fails to.</summary>
    /// <param name="child">The child.</param>
    /// <param name="request">What it is asked.</param>
    /// <param name="limit">Time for this answer.</param>
    /// <param name="cancellation">Ends the wait.</param>
    /// <exception cref="TimeoutException">No answer in time, or nothing is left.</exception>
    public byte[] Ask(Children.ChildProcess child, byte[] request, TimeSpan limit, CancellationToken cancellation)
    {
        if (IsUsedUp)
            throw new TimeoutException();
        // To start the child is not the script's doing.
        child.Walls(cancellation);
        TimeSpan left = Left, granted = limit < left ? limit : left;
        long start = Stopwatch.GetTimestamp();
        try
        {
            return child.Ask(request, granted, cancellation);
        }
        finally
        {
            // A child that had no processor is waited for longer, which is not the script's doing either.
            Interlocked.Add(ref _spent, Math.Min(Stopwatch.GetElapsedTime(start).Ticks, granted.Ticks));
        }
    }

    private TimeSpan Left => most - TimeSpan.FromTicks(Interlocked.Read(ref _spent));
}
