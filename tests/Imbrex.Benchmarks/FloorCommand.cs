using System.Diagnostics;
using System.Globalization;
using Imbrex.Engine;
using Imbrex.Engine.Merging;

namespace Imbrex.Benchmarks;

/// <summary>A whole merge against the copy floor, alternating in one process, with the share of each stage.</summary>
internal static class FloorCommand
{
    private const string Usage = "floor [--times N] [--width PX]: merge of six tiles against the copy floor; N rounds after one to warm up (5), frames of PX pixels across (6000)";

    public static int Run(string[] args)
    {
        if (!Arguments.TryParse(args, ["--times", "--width"], [], out Arguments given))
            return Arguments.Refuse(Usage);
        int times = given.Count("--times", 5), width = given.Count("--width", 6000);
        var tiles = new SixTiles(width);
        DirectoryInfo output = Directory.CreateTempSubdirectory("imbrex-floor-");
        try
        {
            List<Round> rounds = [];
            for (int round = 0; round <= times; round++)
            {
                string floorFile = Path.Combine(output.FullName, "floor.tif"), merged = Path.Combine(output.FullName, "merged");
                (double floor, double floorCpu) = Seconds(() => CopyFloor.Write(tiles.Truth, tiles.Folder, tiles.Canvas, floorFile));
                File.Delete(floorFile);
                IReadOnlyList<StageTime> stages = [];
                (double merge, double mergeCpu) = Seconds(() => stages = Merge(tiles, merged));
                Directory.Delete(merged, recursive: true);
                Console.Error.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{(round == 0 ? "warm-up" : $"round {round}")}: floor {floor:0.00} s, merge {merge:0.00} s, ratio {merge / floor:0.00}; CPU {floorCpu:0.00} s, {mergeCpu:0.00} s, ratio {mergeCpu / floorCpu:0.00}"));
                if (round > 0)
                    rounds.Add(new(floor, merge, floorCpu, mergeCpu, stages));
            }
            Print(rounds);
            return 0;
        }
        finally
        {
            output.Delete(recursive: true);
        }
    }

    private static void Print(List<Round> rounds)
    {
        CultureInfo plain = CultureInfo.InvariantCulture;
        double merge = Median(rounds.Select(round => round.Merge));
        Console.WriteLine("| | s, median | share | floors |");
        Console.WriteLine("| --- | --- | --- | --- |");
        Console.WriteLine(string.Create(plain, $"| copy floor | {Median(rounds.Select(round => round.Floor)):0.00} | | 1 |"));
        Console.WriteLine(string.Create(plain, $"| merge | {merge:0.00} | 100 % | {Median(rounds.Select(round => round.Merge / round.Floor)):0.00} |"));
        Console.WriteLine(string.Create(plain, $"| copy floor, CPU | {Median(rounds.Select(round => round.FloorCpu)):0.00} | | 1 |"));
        Console.WriteLine(string.Create(plain, $"| merge, CPU | {Median(rounds.Select(round => round.MergeCpu)):0.00} | | {Median(rounds.Select(round => round.MergeCpu / round.FloorCpu)):0.00} |"));
        double staged = 0;
        for (int stage = 0; stage < rounds[0].Stages.Count; stage++)
        {
            double seconds = Median(rounds.Select(round => round.Stages[stage].Seconds));
            staged += seconds;
            Console.WriteLine(string.Create(plain, $"| {rounds[0].Stages[stage].Stage} | {seconds:0.00} | {100 * seconds / merge:0} % | {Median(rounds.Select(round => round.Stages[stage].Seconds / round.Floor)):0.00} |"));
        }
        Console.WriteLine(string.Create(plain, $"| the rest (checks, report, files) | {merge - staged:0.00} | {100 * (merge - staged) / merge:0} % | |"));
    }

    private static IReadOnlyList<StageTime> Merge(SixTiles tiles, string folder) => MergeRunner.Run(new()
    {
        Plan = tiles.Plan,
        FramesFolder = tiles.Folder,
        OutputFolder = folder,
        Workers = Environment.ProcessorCount,
    }, new Silent(), TimeProvider.System, CancellationToken.None).Stages;

    private static (double Seconds, double CpuSeconds) Seconds(Action work)
    {
        TimeSpan cpu = Environment.CpuUsage.TotalTime;
        long start = Stopwatch.GetTimestamp();
        work();
        return (Stopwatch.GetElapsedTime(start).TotalSeconds, (Environment.CpuUsage.TotalTime - cpu).TotalSeconds);
    }

    private static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }

    private sealed record Round(double Floor, double Merge, double FloorCpu, double MergeCpu, IReadOnlyList<StageTime> Stages);

    private sealed class Silent : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
