namespace Imbrex.Hosting.Scripts.Children;

/// <summary>The last walls, which a child puts up around itself before it reads anything that a stranger wrote.</summary>
internal static class Confinement
{
    /// <summary>Environment variable in which the program tells a child that Landlock holds it.</summary>
    public const string LandlockMark = "IMBREX_CHILD_LANDLOCK";

    /// <summary>Confines this process.</summary>
    /// <returns>The walls that stand.</returns>
    public static ChildWalls Confine(ChildRole role)
    {
        var limits = ChildLimits.Of(role);
        ChildWalls walls = ChildWalls.None;
        if (GC.GetGCMemoryInfo().TotalAvailableMemoryBytes <= limits.Heap)
            walls |= ChildWalls.Heap;
        if (OperatingSystem.IsLinux())
        {
            // Tried, not believed: the root folder is behind the wall. This thread and those that it starts, a script's among them, no longer need what the runtime measured.
            if (Environment.GetEnvironmentVariable(LandlockMark) is not null && !CanList("/")
                && Landlock.RestrictThisThread(ChildProgram.Running.Readable(role), []))
            {
                walls |= ChildWalls.Landlock;
            }
            if (ResourceLimits.Set(limits))
                walls |= ChildWalls.Resources;
            if (SystemCallFilter.Set())
                walls |= ChildWalls.SystemCalls;
        }
        return walls;
    }

    private static bool CanList(string folder)
    {
        try
        {
            return Directory.EnumerateFileSystemEntries(folder).Any();
        }
        catch (Exception e) when (e is UnauthorizedAccessException or IOException)
        {
            return false;
        }
    }
}
