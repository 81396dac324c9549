using System.Diagnostics;
using Imbrex.Engine;

namespace Imbrex.Cli.Output;

/// <summary>Progress of long work: one line that renews itself on a terminal, a plain line now and then elsewhere.</summary>
internal sealed class ProgressLine(TextWriter writer, bool live) : IProgress<StageProgress>
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly Lock _lock = new();
    private long _last;
    private string _stage = "";
    private int _quarter;
    private int _shown;

    public void Report(StageProgress value)
    {
        lock (_lock)
        {
            if (live)
                Renew(value);
            else
                Append(value);
        }
    }

    /// <summary>Takes the line away, so that other text may be written.</summary>
    public void Clear()
    {
        lock (_lock)
        {
            if (_shown > 0)
                writer.Write("\r" + new string(' ', _shown) + "\r");
            _shown = 0;
        }
    }

    private void Renew(StageProgress value)
    {
        bool soon = value.Stage == _stage && value.Done < 1 && Stopwatch.GetElapsedTime(_last) < Pause;
        if (soon)
            return;
        (_last, _stage) = (Stopwatch.GetTimestamp(), value.Stage);
        string line = $"{value.Stage} {Math.Clamp(value.Done, 0, 1):P0}";
        writer.Write("\r" + line.PadRight(_shown));
        _shown = line.Length;
    }

    // A line when a stage begins, and at each further quarter of it.
    private void Append(StageProgress value)
    {
        int quarter = (int)(Math.Clamp(value.Done, 0, 1) * 4);
        if (value.Stage == _stage && quarter <= _quarter)
            return;
        (_stage, _quarter) = (value.Stage, quarter);
        writer.WriteLine($"{value.Stage} {quarter * 25} %");
    }
}
