using System.Globalization;

namespace Imbrex.Judging;

/// <summary>
/// The most anonymous memory that a process held: RssAnon of /proc/PID/status, which counts the managed heap, native buffers and stacks but not file-backed
/// pages, every 20 ms. Linux only.
/// </summary>
internal sealed class PeakMemory : IDisposable
{
    private readonly string _status;
    private readonly ManualResetEventSlim _stop = new();
    private readonly Thread _watcher;
    private long _peak;

    /// <param name="process">Id of the process to watch.</param>
    public PeakMemory(int process)
    {
        _status = $"/proc/{process}/status";
        _watcher = new(Watch) { IsBackground = true, Priority = ThreadPriority.AboveNormal };
        _watcher.Start();
    }

    /// <summary>Megabytes (10^6), or null where the system does not tell.</summary>
    public double? Megabytes => _peak == 0 ? null : _peak / 1e6;

    public void Dispose()
    {
        _stop.Set();
        _watcher.Join();
        _stop.Dispose();
    }

    private void Watch()
    {
        do
        {
            _peak = Math.Max(_peak, Anonymous());
        }
        while (!_stop.Wait(20));
    }

    private long Anonymous()
    {
        try
        {
            string? line = File.Exists(_status) ? File.ReadLines(_status).FirstOrDefault(text => text.StartsWith("RssAnon:", StringComparison.Ordinal)) : null;
            return line is null ? 0 : 1024 * long.Parse(line.AsSpan(8, line.Length - 8 - 2).Trim(), CultureInfo.InvariantCulture);
        }
        catch (IOException)
        {
            return 0; // The process has ended.
        }
    }
}
