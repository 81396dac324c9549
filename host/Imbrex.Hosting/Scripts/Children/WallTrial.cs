using System.ComponentModel;
using System.Diagnostics;
using System.Net.Sockets;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>What a confined child found that it cannot do.</summary>
[Flags]
internal enum Refusals
{
    None = 0,
    ReadFile = 1,
    ListFolder = 2,
    WriteFile = 4,
    OpenSocket = 8,
    StartProgram = 16,
    SeeProcesses = 32,
    All = ReadFile | ListFolder | WriteFile | OpenSocket | StartProgram | SeeProcesses,
}

/// <summary>
/// Tries the walls from inside, as a script that had got through every gate would. Runs on a thread of its own, as scripts do. Harmless where there
/// is no wall: it reads a line of what everybody may read, opens and closes, and removes what it has written.
/// </summary>
internal static class WallTrial
{
    public static Refusals Try()
    {
        Refusals found = Refusals.None;
        var thread = new Thread(() => found = Tried());
        thread.Start();
        thread.Join();
        return found;
    }

    private static Refusals Tried() =>
        (IsRefused(() => File.ReadAllBytes(Environment.SystemDirectory is { Length: > 0 } folder ? Path.Combine(folder, "drivers", "etc", "hosts") : "/etc/hosts")) ? Refusals.ReadFile : 0)
        | (IsRefused(() => Directory.GetFileSystemEntries(Path.GetPathRoot(AppContext.BaseDirectory)!)) ? Refusals.ListFolder : 0)
        | (IsRefused(Write) ? Refusals.WriteFile : 0)
        | (IsRefused(() => new Socket(AddressFamily.InterNetwork, SocketType.Dgram, ProtocolType.Udp).Dispose()) ? Refusals.OpenSocket : 0)
        | (IsRefused(Start) ? Refusals.StartProgram : 0)
        | (IsRefused(() => File.ReadAllBytes("/proc/self/status")) ? Refusals.SeeProcesses : 0);

    private static void Write()
    {
        string file = Path.Combine(Path.GetTempPath(), $"imbrex-wall-{Environment.ProcessId}");
        File.Create(file).Dispose();
        File.Delete(file);
    }

    // Whatever it does with this word, it ends at once.
    private static void Start()
    {
        using Process? process = Process.Start(new ProcessStartInfo(Environment.ProcessPath!, "--version") { RedirectStandardOutput = true });
        process?.WaitForExit(5000);
    }

    private static bool IsRefused(Action attempt)
    {
        try
        {
            attempt();
            return false;
        }
        catch (Exception e) when (e is UnauthorizedAccessException or IOException or SocketException or Win32Exception)
        {
            return true;
        }
    }
}
