using BenchmarkDotNet.Attributes;
using BenchmarkDotNet.Engines;
using Imbrex.Engine;
using Imbrex.Engine.Merging;
using NetVips;

namespace Imbrex.Benchmarks;

/// <summary>
/// A whole merge against the copy floor: the imaging library decodes the same frames and pastes them at whole-pixel positions into one
/// uncompressed 16-bit TIFF, in one lazy pipeline, and nothing else. Each is measured once per iteration, files included.
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
    public void CopyFloor()
    {
        Image canvas = Image.Black(_tiles.Canvas.Width, _tiles.Canvas.Height, bands: 3).Cast(Enums.BandFormat.Ushort);
        foreach (Engine.Simulation.TruthTilePart tile in _tiles.Truth.Tiles)
        {
            Image frame = Image.NewFromFile(Path.Combine(_tiles.Folder, tile.File), access: Enums.Access.Sequential, failOn: Enums.FailOn.Error);
            canvas = canvas.Insert(frame, (int)Math.Round(tile.XPx - (frame.Width - 1) / 2.0), (int)Math.Round(tile.YPx - (frame.Height - 1) / 2.0));
        }
        canvas.Tiffsave(Path.Combine(_output, "floor.tif"), bigtiff: true);
    }

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
