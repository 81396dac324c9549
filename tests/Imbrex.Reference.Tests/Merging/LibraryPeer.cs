using Imbrex.Engine;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using Imbrex.Judging;
using Xunit;

namespace Imbrex.Reference.Tests.Merging;

/// <summary>
/// A merge against what a careful person builds from a general-purpose image library: OpenCV 4 (Debian's python3-opencv, 4.6.0 where this was written), phase
/// correlation, ECC, robust least squares, gains, graph-cut seams, multi-band blender; <c>tests/Imbrex.Benchmarks/Peer/peer.py</c>.
/// </summary>
public sealed class LibraryPeer(ITestOutputHelper output) : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-peer-");

    public void Dispose() => _folder.Delete(recursive: true);

    // Single takes are a matter of luck: three of them, pooled.
    [Fact]
    public void Tiles_are_placed_and_joined_at_least_as_well_as_by_the_library()
    {
        Assert.SkipWhen(Peer.Missing is not null, Peer.Missing ?? "");
        (PoseError Pose, PictureError Picture)[] own = new (PoseError, PictureError)[3], library = new (PoseError, PictureError)[3];
        for (int i = 0; i < 3; i++)
        {
            (own[i], library[i]) = Compare(seed: 4 + i, Path.Combine(_folder.FullName, $"take-{i}"));
            output.WriteLine($"pose RMS {own[i].Pose.Rms:0.0000} px, library {library[i].Pose.Rms:0.0000} px; {own[i].Picture.Psnr:0.00} dB, library {library[i].Picture.Psnr:0.00} dB");
        }
        double Rms((PoseError Pose, PictureError Picture)[] takes) => Math.Sqrt(takes.Average(take => take.Pose.Rms * take.Pose.Rms));
        // The library does work: it is a yardstick, not a straw man.
        Assert.InRange(Rms(library), 0, 0.03);
        Assert.All(library, take => Assert.InRange(take.Picture.Psnr, 45, 70));
        Assert.True(Rms(own) <= Rms(library), $"{Rms(own):0.0000} px against {Rms(library):0.0000} px");
        Assert.All(own.Zip(library), pair => Assert.True(pair.First.Picture.Psnr >= pair.Second.Picture.Psnr));
    }

    private static ((PoseError, PictureError) Own, (PoseError, PictureError) Library) Compare(int seed, string folder)
    {
        var plan = new PlanDocument
        {
            Schema = PlanDocument.SchemaName,
            Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 540, HeightPx = 360 },
            Format = new() { WidthMm = 61, HeightMm = 41 },
            Tiles = [.. from row in new[] { -9.5, 9.5 } from column in new[] { -13.5, 13.5 } select new TilePart { Id = $"r{row}c{column}", XMm = column, YMm = row }],
        };
        var faults = new CameraFaults
        {
            Seed = seed,
            PositionSdMm = 0.1,
            PositionMaxMm = 0.25,
            RotationSdDeg = 0.08,
            RotationMaxDeg = 0.2,
            GainSdStops = 0.05,
            ExposureStops = -0.2,
            ReadNoise = 0.0005,
            FullWell = 40_000,
        };
        var scene = new SoftScene(PhotographScene.Load(Path.Combine(AppContext.BaseDirectory, "data", "mountain-ccby4.jpg"), 200 * seed, 900));
        string frames = Path.Combine(folder, "frames"), planFile = Path.Combine(folder, "plan.json");
        var camera = new SimulatedCamera(scene, plan, faults);
        camera.Shoot(frames, workers: 2, cancellation: TestContext.Current.CancellationToken);
        File.WriteAllBytes(planFile, JsonDocuments.ToBytes(plan));
        var judge = new PictureJudge(scene, Canvas.Of(plan), faults);

        PeerOutcome peer = Peer.Run(planFile, frames, Path.Combine(folder, "peer"), truth: null, toleranceMm: 0.5);
        Assert.Null(peer.Failure);
        PoseError peerPose = PoseError.Of(peer.Corners, camera.Truth);
        MergeResult merge = MergeRunner.Run(new() { Plan = plan, FramesFolder = frames, OutputFolder = Path.Combine(folder, "out"), Workers = 2 },
            new Nobody(), TimeProvider.System, TestContext.Current.CancellationToken);
        PoseError pose = PoseError.Of(merge.Mosaic, camera.Truth);
        return ((pose, judge.Judge(merge.MasterFile, pose.Common)), (peerPose, judge.Judge(peer.Picture, peerPose.Common)));
    }

    private sealed class Nobody : IProgress<StageProgress>
    {
        public void Report(StageProgress value)
        {
        }
    }
}
