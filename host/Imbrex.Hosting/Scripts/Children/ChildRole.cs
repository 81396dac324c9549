namespace Imbrex.Hosting.Scripts.Children;

/// <summary>What a child process is for.</summary>
internal enum ChildRole
{
    /// <summary>Compiles scripts behind all gates; runs nothing.</summary>
    Compile,

    /// <summary>Runs compiled scripts, without a compiler at hand.</summary>
    Execute,

    /// <summary>Holds one adapter script and answers for its backs, behind the walls of <see cref="Execute"/>.</summary>
    Adapt,

    /// <summary>Stands behind the walls of <see cref="Execute"/>, tries them from inside and tells.</summary>
    Trial,
}

/// <summary>What a child may take of the machine.</summary>
/// <param name="Heap">Managed memory, bytes.</param>
/// <param name="Data">All writable memory of its own, bytes (Linux).</param>
/// <param name="Processor">Seconds of processor time in its whole life (Linux); the last resort where nobody is left to end it.</param>
/// <param name="Time">Time for one answer, start of the process not included; more where the machine was too busy to let the child run so long.</param>
internal sealed record ChildLimits(long Heap, long Data, int Processor, TimeSpan Time)
{
    private const long Mebi = 1 << 20;

    public static ChildLimits Of(ChildRole role) => role switch
    {
        ChildRole.Compile => new(512 * Mebi, 1536 * Mebi, 600, TimeSpan.FromSeconds(15)),

        // It lives as long as the program, and is asked all the time.
        ChildRole.Adapt => new(192 * Mebi, 640 * Mebi, 300, TimeSpan.FromSeconds(5)),
        _ => new(192 * Mebi, 640 * Mebi, 30, TimeSpan.FromSeconds(5)),
    };

    /// <summary>Time for a child to start, on a busy machine too.</summary>
    public static readonly TimeSpan Start = TimeSpan.FromSeconds(20);
}

/// <summary>The walls around a child that it found standing when it started.</summary>
[Flags]
internal enum ChildWalls
{
    None = 0,

    /// <summary>Managed memory is limited.</summary>
    Heap = 1,

    /// <summary>Landlock: no files but the runtime's, no TCP, no signals to others.</summary>
    Landlock = 2,

    /// <summary>Resource limits: no file written, few opened, memory, processor time.</summary>
    Resources = 4,

    /// <summary>seccomp: no sockets, no new processes, no programs.</summary>
    SystemCalls = 8,
}
