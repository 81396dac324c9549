using System.Runtime.InteropServices;
using System.Runtime.Versioning;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>
/// Landlock (Linux, Documentation/userspace-api/landlock.rst): takes the file system, TCP, abstract sockets and signals to others away from
/// one thread and from what it starts afterwards. The program restricts a thread that does nothing but start the child, so that the child
/// stands behind the wall from its first instruction on.
/// </summary>
[SupportedOSPlatform("linux")]
internal static unsafe partial class Landlock
{
    private const long CreateRuleset = 444, AddRule = 445, RestrictSelf = 446;
    private const uint Version = 1;
    private const int PathBeneath = 1;
    private const int NoNewPrivileges = 38;
    private const int OpenPath = 0x200000, CloseOnExec = 0x80000;

    private const ulong Execute = 1, ReadFile = 4, ReadFolder = 8;
    private const ulong NetAll = 3, ScopeAll = 3;

    /// <summary>The kernel's version of Landlock, or 0 where there is none.</summary>
    public static int Abi { get; } = Math.Max(0, (int)syscall(CreateRuleset, null, 0, Version));

    /// <summary>Restricts the calling thread to reading some files and folders.</summary>
    /// <param name="readable">Files and folders that may be read; those that do not exist are passed over.</param>
    /// <param name="programs">Files and folders that may also be executed.</param>
    /// <returns>Whether the wall stands.</returns>
    public static bool RestrictThisThread(IEnumerable<string> readable, IEnumerable<string> programs)
    {
        if (Abi == 0)
            return false;
        var attributes = new Ruleset { Files = AllFiles(), Net = Abi >= 4 ? NetAll : 0, Scoped = Abi >= 6 ? ScopeAll : 0 };
        nuint size = Abi >= 6 ? 24u : Abi >= 4 ? 16u : 8u;
        int ruleset = (int)syscall(CreateRuleset, &attributes, size, 0);
        if (ruleset < 0)
            return false;
        try
        {
            foreach (string path in readable)
                Allow(ruleset, path, ReadFile | ReadFolder);
            foreach (string path in programs)
                Allow(ruleset, path, ReadFile | ReadFolder | Execute);
            return prctl(NoNewPrivileges, 1, 0, 0, 0) == 0 && syscall(RestrictSelf, ruleset, 0, 0) == 0;
        }
        finally
        {
            _ = close(ruleset);
        }
    }

    // Every right that this kernel knows: 13 at first, then refer (2), truncate (3), ioctl on devices (5).
    private static ulong AllFiles() => Abi switch
    {
        1 => (1UL << 13) - 1,
        2 => (1UL << 14) - 1,
        3 or 4 => (1UL << 15) - 1,
        _ => (1UL << 16) - 1,
    };

    private static void Allow(int ruleset, string path, ulong rights)
    {
        int file = open(path, OpenPath | CloseOnExec);
        if (file < 0)
            return;
        var rule = new Rule { Rights = Directory.Exists(path) ? rights : rights & ~ReadFolder, Parent = file };
        _ = syscall(AddRule, ruleset, PathBeneath, &rule, 0);
        _ = close(file);
    }

    [StructLayout(LayoutKind.Sequential)]
    private struct Ruleset
    {
        public ulong Files;
        public ulong Net;
        public ulong Scoped;
    }

    [StructLayout(LayoutKind.Sequential, Pack = 1)]
    private struct Rule
    {
        public ulong Rights;
        public int Parent;
    }

    [LibraryImport("libc", SetLastError = true)]
    private static partial long syscall(long number, void* a, nuint b, uint c);

    [LibraryImport("libc", SetLastError = true)]
    private static partial long syscall(long number, long a, long b, long c);

    [LibraryImport("libc", SetLastError = true)]
    private static partial long syscall(long number, long a, long b, void* c, long d);

    [LibraryImport("libc", SetLastError = true)]
    private static partial int prctl(int option, nuint a, nuint b, nuint c, nuint d);

    [LibraryImport("libc", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    private static partial int open(string path, int flags);

    [LibraryImport("libc")]
    private static partial int close(int file);
}
