namespace Imbrex.Engine.Photometry;

/// <summary>
/// Keeps the tables of a few frames in memory: when one more is put in, the one that has been in longest goes out and is made anew when it is needed. Blocks of the
/// picture need the frames of one row of tiles after the other, so that this is seldom. Safe to use from several threads.
/// </summary>
/// <param name="mostHeld">Most frames held.</param>
internal sealed class EveningShelf(int mostHeld)
{
    private readonly Lock _gate = new();
    private readonly Queue<Evening> _held = new();

    /// <summary>Frames that should be held for so many workers: those that meet where each of them is, and the rest of two rows of tiles.</summary>
    public static int MostHeldFor(int workers) => 2 * workers + 8;

    /// <summary>Takes in a frame whose tables have just been made.</summary>
    public void Put(Evening evening)
    {
        lock (_gate)
        {
            _held.Enqueue(evening);
            while (_held.Count > mostHeld)
                _held.Dequeue().ForgetTables();
        }
    }
}
