using BenchmarkDotNet.Attributes;
using BenchmarkDotNet.Engines;
using Imbrex.Engine;
using Imbrex.Engine.Merging;

namespace Imbrex.Benchmarks;

/// <summary>
/// A whole merge against the copy floor (<see cref="CopyFloor"/>). Each is measured once per iteration, files included.
/// </summary>
[SimpleJob(RunStrategy.Monitoring, warmupCount: 1, iterationCount: 5)]
public class MergeBenchmarks
{
    private SixTiles _tiles = null!;
    private string _output = "";

    /// <summary>Pixels across one frame: 1.5, 8.6 and 24 megapixels.</summary>
    [Params(1500, 3600, 6000)]
    public int FrameWidth { get; set; }

    [GlobalSetup]
    public void Shoot()
    {
        _tiles = new(FrameWidth);
        _output = Directory.CreateTempSubdirectory("imbrex-benchmark-out-").FullName;
    }

    [GlobalCleanup]
    public void Remove() => Directory.Delete(_output, recursive: true);

    [Benchmark(Baseline = true)]
    public void Floor() => CopyFloor.Write(_tiles.Truth, _tiles.Folder, _tiles.Canvas, Path.Combine(_output, "floor.tif"));

    [Benchmark]
    public MergeResult Merge() => MergeRunner.Run(new()
    {
        Plan = _tiles.Plan,
        FramesFolder = _tiles.Folder,
        OutputFolder = Path.Combine(_output, "merged"),
        Force = true,
        Workers = Environment.ProcessorCount,
    }, new Silent(), TimeProvider.System, CancellationToken.None);

    private sealed class Silent : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
