using System.Runtime.InteropServices;
using System.Runtime.Versioning;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>Limits that a process sets itself and cannot raise again (setrlimit(2)).</summary>
[SupportedOSPlatform("linux")]
internal static unsafe partial class ResourceLimits
{
    private const int Processor = 0, FileSize = 1, Data = 2, Core = 4, OpenFiles = 7, LockedMemory = 8, Queues = 12;

    /// <summary>Sets them all.</summary>
    /// <returns>Whether every one holds.</returns>
    public static bool Set(ChildLimits limits) =>
        Set(FileSize, 0) && Set(Core, 0) && Set(OpenFiles, 256) && Set(LockedMemory, 0) && Set(Queues, 0)
        && Set(Data, (ulong)limits.Data) && Set(Processor, (ulong)limits.Processor);

    private static bool Set(int resource, ulong most)
    {
        Limit limit;
        if (getrlimit(resource, &limit) != 0)
            return false;
        limit.Hard = Math.Min(limit.Hard, most);
        limit.Soft = limit.Hard;
        return setrlimit(resource, &limit) == 0;
    }

    private struct Limit
    {
        public ulong Soft;
        public ulong Hard;
    }

    [LibraryImport("libc", SetLastError = true)]
    private static partial int getrlimit(int resource, Limit* limit);

    [LibraryImport("libc", SetLastError = true)]
    private static partial int setrlimit(int resource, Limit* limit);
}
