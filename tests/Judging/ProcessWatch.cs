using System.Globalization;

namespace Imbrex.Judging;

/// <summary>
/// Watches a process every 20 ms, on Linux: the most anonymous memory that it held (RssAnon of /proc/PID/status: managed heap, native buffers and stacks, not
/// file-backed pages) and the processor time that it used (/proc/PID/stat), which is what to compare on a machine that others use too.
/// </summary>
internal sealed class ProcessWatch : IDisposable
{
    // USER_HZ, which Linux fixes at 100 for what it shows in /proc.
    private const double TicksPerSecond = 100;

    private readonly string _folder;
    private readonly ManualResetEventSlim _stop = new();
    private readonly Thread _watcher;
    private long _peak;
    private long _ticks;

    /// <param name="process">Id of the process to watch.</param>
    public ProcessWatch(int process)
    {
        _folder = $"/proc/{process}";
        _watcher = new(Watch) { IsBackground = true, Priority = ThreadPriority.AboveNormal };
        _watcher.Start();
    }

    /// <summary>Peak memory, 10^6 bytes, or null where the system does not tell.</summary>
    public double? PeakMb => _peak == 0 ? null : _peak / 1e6;

    /// <summary>Seconds of all processors, since the process began, or null where the system does not tell.</summary>
    public double? CpuSeconds => _ticks == 0 ? null : _ticks / TicksPerSecond;

    public void Dispose()
    {
        _stop.Set();
        _watcher.Join();
        _stop.Dispose();
    }

    private void Watch()
    {
        if (!Directory.Exists(_folder))
            return;
        do
        {
            try
            {
                _peak = Math.Max(_peak, Anonymous());
                _ticks = Math.Max(_ticks, Ticks());
            }
            catch (IOException)
            {
                return; // The process has ended.
            }
        }
        while (!_stop.Wait(20));
    }

    private long Anonymous()
    {
        string? line = File.ReadLines(_folder + "/status").FirstOrDefault(text => text.StartsWith("RssAnon:", StringComparison.Ordinal));
        return line is null ? 0 : 1024 * long.Parse(line.AsSpan(8, line.Length - 8 - 2).Trim(), CultureInfo.InvariantCulture);
    }

    // Fields 14 and 15, counted behind the name in brackets, which is field 2 and may hold spaces.
    private long Ticks()
    {
        string stat = File.ReadAllText(_folder + "/stat");
        string[] fields = stat[(stat.LastIndexOf(')') + 2)..].Split(' ');
        return long.Parse(fields[11], CultureInfo.InvariantCulture) + long.Parse(fields[12], CultureInfo.InvariantCulture);
    }
}
