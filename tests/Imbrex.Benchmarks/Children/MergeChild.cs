using System.Text.Json;
using Imbrex.Engine;
using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Seams;
using Imbrex.Judging;
using Imbrex.Sdk;

namespace Imbrex.Benchmarks.Children;

/// <summary>One merge to be done in a process of its own.</summary>
internal sealed record MergeJob
{
    public required string PlanFile { get; init; }
    public required string Frames { get; init; }
    public required string Output { get; init; }
    public double? ToleranceMm { get; init; }
    public double? AngularToleranceDeg { get; init; }

    /// <summary>File that receives a byte for each canvas pixel: the frame that shows there; written when the merge has been timed.</summary>
    public string? Labels { get; init; }
}

/// <summary>How a merge went.</summary>
/// <param name="Seconds">From the request to the finished files.</param>
/// <param name="PeakMb">Most anonymous memory of the process, 10^6 bytes; null where unknown.</param>
/// <param name="Stages">Seconds of the stages.</param>
/// <param name="CpuSeconds">Processor time that the process used until then, its start included; null where unknown.</param>
/// <param name="Failure">What went wrong, or null.</param>
internal sealed record MergeOutcome(double Seconds, double? CpuSeconds, double? PeakMb, IReadOnlyList<StageTime> Stages, string? Failure)
{
    public static MergeOutcome Failed(double seconds, double? peakMb, string failure) => new(seconds, null, peakMb, [], failure);
}

/// <summary>Runs a merge in a process that does nothing else, so that its memory is its own.</summary>
internal static class MergeChild
{
    public const string Name = "merge-child";

    /// <summary>Runs a job in a child process and waits for it.</summary>
    public static MergeOutcome Start(MergeJob job)
    {
        string file = Path.GetTempFileName();
        try
        {
            File.WriteAllText(file, JsonSerializer.Serialize(job));
            ChildProcess child = ChildProcess.Run(Environment.ProcessPath!, [Name, file]);
            return child.ExitCode == 0 ? JsonSerializer.Deserialize<MergeOutcome>(child.Output)! : MergeOutcome.Failed(child.Seconds, null, $"exit code {child.ExitCode}: {child.Error}");
        }
        finally
        {
            File.Delete(file);
        }
    }

    /// <summary>The child's side.</summary>
    public static int Run(string[] args)
    {
        MergeJob job = JsonSerializer.Deserialize<MergeJob>(File.ReadAllText(args[0]))!;
        SeamMap? seams = null;
        MergeOutcome outcome;
        using (var watch = new ProcessWatch(Environment.ProcessId))
        {
            long start = TimeProvider.System.GetTimestamp();
            try
            {
                MergeResult result = MergeRunner.Run(new()
                {
                    Plan = JsonDocuments.Read<PlanDocument>(job.PlanFile, PlanDocument.SchemaName),
                    FramesFolder = job.Frames,
                    OutputFolder = job.Output,
                    ToleranceMm = job.ToleranceMm,
                    AngularToleranceDeg = job.AngularToleranceDeg,
                    Force = true,
                    Workers = Environment.ProcessorCount,
                    WhenSettled = settled => seams = settled.Seams,
                }, new Silent(), TimeProvider.System, CancellationToken.None);
                outcome = new(TimeProvider.System.GetElapsedTime(start).TotalSeconds, watch.CpuSeconds, watch.PeakMb, result.Stages, null);
                if (job.Labels is not null)
                    Write(seams!, result.Mosaic.WidthPx, result.Mosaic.HeightPx, job.Labels);
            }
            catch (ImbrexException e)
            {
                outcome = MergeOutcome.Failed(TimeProvider.System.GetElapsedTime(start).TotalSeconds, watch.PeakMb, e.Message);
            }
        }
        Console.WriteLine(JsonSerializer.Serialize(outcome));
        return 0;
    }

    private static void Write(SeamMap seams, int width, int height, string file)
    {
        const int Rows = 64;
        using FileStream stream = File.Create(file);
        (var labels, var weights) = (new byte[width * Rows], new float[width * Rows]);
        for (int y = 0; y < height; y += Rows)
        {
            int rows = Math.Min(Rows, height - y);
            seams.Fill(new CanvasArea(0, y, width, rows), labels, weights);
            stream.Write(labels, 0, width * rows);
        }
    }

    private sealed class Silent : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
