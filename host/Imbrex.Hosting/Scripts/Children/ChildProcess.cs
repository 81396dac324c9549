using System.ComponentModel;
using System.Diagnostics;
using System.Text;
using Imbrex.Sdk;

namespace Imbrex.Hosting.Scripts.Children;

/// <summary>A child of the program: started behind walls, asked one thing at a time, killed when it takes too long.</summary>
internal sealed class ChildProcess : IDisposable
{
    private const int LongestError = 64 * 1024;

    // So many times its limit is the most that a child is waited for on a busy machine.
    private const int Patience = 4;

    private readonly Process _process;
    private readonly Task<string> _error;
    private readonly Task<ChildWalls> _started;

    private ChildProcess(Process process)
    {
        _process = process;
        _error = Task.Run(() => ReadError(process.StandardError));
        _started = Task.Run(() => Frames.Read(process.StandardOutput.BaseStream) is [byte walls] ? (ChildWalls)walls : throw new InvalidDataException(_error.Result));
    }

    /// <summary>Starts a child and returns at once.</summary>
    /// <exception cref="InputException">The system does not start it.</exception>
    public static ChildProcess Start(ChildProgram program, ChildRole role)
    {
        try
        {
            Process process = OperatingSystem.IsLinux() ? StartBehindLandlock(program, role) : Process.Start(program.StartInfo(role, landlock: false))!;
            return new(process);
        }
        catch (Exception e) when (e is Win32Exception or IOException or UnauthorizedAccessException)
        {
            throw CannotStart(e);
        }
    }

    /// <summary>The walls that the child found standing.</summary>
    /// <exception cref="InputException">It did not start.</exception>
    public ChildWalls Walls(CancellationToken cancellation)
    {
        try
        {
            return _started.WaitAsync(ChildLimits.Start, cancellation).GetAwaiter().GetResult();
        }
        catch (Exception e) when (e is TimeoutException or InvalidDataException or IOException)
        {
            Kill();
            throw CannotStart(e);
        }
    }

    /// <summary>Asks and waits for the answer.</summary>
    /// <exception cref="InputException">The child cannot be started.</exception>
    /// <exception cref="TimeoutException">No answer in time; the child is killed.</exception>
    /// <exception cref="ChildDiedException">The child went down, or answered nothing that could be read; it is killed.</exception>
    public byte[] Ask(byte[] request, TimeSpan limit, CancellationToken cancellation)
    {
        Walls(cancellation);
        // The pipes close when the child is killed, which ends the wait on this thread: to wait on another costs more than most answers.
        bool isLate = false;
        byte[]? answer;
        long asked = Stopwatch.GetTimestamp();
        using (cancellation.UnsafeRegister(static child => ((ChildProcess)child!).Kill(), this))
        using (new Timer(_ =>
        {
            if (Stopwatch.GetElapsedTime(asked) < Patience * limit && IsStarved(limit))
                return;
            Volatile.Write(ref isLate, true);
            Kill();
        }, null, limit, limit / 4))
        {
            try
            {
                Frames.Write(_process.StandardInput.BaseStream, request);
                answer = Frames.Read(_process.StandardOutput.BaseStream);
            }
            catch (Exception e) when (e is InvalidDataException or IOException)
            {
                answer = null;
            }
        }
        if (answer is not null && !cancellation.IsCancellationRequested && !Volatile.Read(ref isLate))
            return answer;
        cancellation.ThrowIfCancellationRequested();
        throw Volatile.Read(ref isLate) ? new TimeoutException() : Died();
    }

    public void Dispose()
    {
        Kill();
        _process.Dispose();
    }

    // The thread is given up afterwards: what Landlock takes from it does not come back.
    [System.Runtime.Versioning.SupportedOSPlatform("linux")]
    private static Process StartBehindLandlock(ChildProgram program, ChildRole role)
    {
        Process? process = null;
        Exception? failure = null;
        var thread = new Thread(() =>
        {
            try
            {
                bool landlock = Landlock.RestrictThisThread(program.ReadableAtStart(role), program.Programs);
                process = Process.Start(program.StartInfo(role, landlock));
            }
            catch (Exception e)
            {
                failure = e;
            }
        });
        thread.Start();
        thread.Join();
        return process ?? throw new IOException("The child process was not started.", failure);
    }

    // What has not had so much of a processor in all its life has not run in circles for so long: the machine is busy with other things, for which a script is not to blame.
    private bool IsStarved(TimeSpan limit)
    {
        try
        {
            return _process.TotalProcessorTime < limit;
        }
        catch (Exception e) when (e is InvalidOperationException or Win32Exception or NotSupportedException)
        {
            return false;
        }
    }

    private ChildDiedException Died()
    {
        // It may just be writing why.
        string error = _error.Wait(TimeSpan.FromSeconds(2)) ? _error.Result : "";
        Kill();
        return new(error);
    }

    /// <summary>Ends the process, whatever it is doing.</summary>
    public void Kill()
    {
        try
        {
            _process.Kill();
        }
        catch (Exception e) when (e is InvalidOperationException or Win32Exception)
        {
            // It has ended by itself.
        }
    }

    // All of it is read, so that the child does not wait for room; the beginning is kept, where the reason stands.
    private static string ReadError(StreamReader from)
    {
        var kept = new StringBuilder();
        char[] block = new char[4096];
        try
        {
            for (int read; (read = from.Read(block, 0, block.Length)) > 0;)
            {
                if (kept.Length < LongestError)
                    kept.Append(block, 0, read);
            }
        }
        catch (Exception e) when (e is IOException or ObjectDisposedException or InvalidOperationException)
        {
            // The child is gone.
        }
        return kept.ToString();
    }

    private static InputException CannotStart(Exception e) => new("The process that scripts run in cannot be started.", null,
        "imbrex doctor tells more. Nothing of a script is run without it.", e);
}

/// <summary>A child went down instead of answering.</summary>
/// <param name="error">What its runtime wrote at its end.</param>
internal sealed class ChildDiedException(string error) : Exception
{
    public string ErrorText { get; } = error;
}
