using Imbrex.Benchmarks.Children;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Simulation;
using Imbrex.Judging;

namespace Imbrex.Benchmarks.Cases;

/// <summary>A simulated take in a temporary folder, its plan beside it; gone when disposed of.</summary>
internal sealed class TakeOnDisk : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-case-");
    private readonly IScene _scene;
    private readonly BenchCase _case;
    private readonly CameraFaults _faults;

    public TakeOnDisk(BenchCase what, IScene scene, CameraFaults faults)
    {
        (_case, _scene, _faults) = (what, scene, faults);
        var camera = new SimulatedCamera(scene, what.Plan, faults);
        Truth = camera.Truth;
        camera.Shoot(Frames, workers: Environment.ProcessorCount);
        File.WriteAllBytes(PlanFile, JsonDocuments.ToBytes(WithFiles(what.Plan, Truth)));
    }

    public TruthDocument Truth { get; }

    public string Frames => Path.Combine(_folder.FullName, "frames");

    public string PlanFile => Path.Combine(_folder.FullName, "plan.json");

    public string Output => Path.Combine(_folder.FullName, "out");

    /// <summary>Merges the take in a process of its own and judges the result.</summary>
    public MergeVerdict Merge()
    {
        string labels = Path.Combine(_folder.FullName, "labels");
        MergeOutcome outcome = MergeChild.Start(new()
        {
            PlanFile = PlanFile,
            Frames = Frames,
            Output = Output,
            ToleranceMm = _case.ToleranceMm,
            AngularToleranceDeg = _case.AngularToleranceDeg,
            Labels = labels,
        });
        if (outcome.Failure is not null)
            return new(outcome, null, null, null);
        MosaicDocument mosaic = JsonDocuments.Read<MosaicDocument>(Path.Combine(Output, Engine.Merging.MergeRunner.MosaicName), MosaicDocument.SchemaName);
        PoseError pose = PoseError.Of(mosaic, Truth);
        WalkerFate? walkers = _faults.Walkers.Count == 0 || _faults.Series.Exposures > 1 ? null
            : WalkerFate.Of(_faults.Walkers, [.. mosaic.Tiles.Select(tile => tile.Id)], labels, mosaic.WidthPx, mosaic.HeightPx);
        return new(outcome, pose, Judge(Path.Combine(Output, mosaic.Master), pose.Common, labels), walkers);
    }

    /// <summary>Runs the library peer on the take and judges the result.</summary>
    /// <param name="truePoses">Whether it is told where the frames stood.</param>
    public PeerVerdict MergeByPeer(bool truePoses)
    {
        PeerOutcome outcome = Peer.Run(PlanFile, Frames, Path.Combine(_folder.FullName, truePoses ? "peer-told" : "peer"), truePoses ? Path.Combine(Frames, TruthDocument.FileName) : null, _case.ToleranceMm ?? 0.5);
        if (outcome.Failure is not null)
            return new(outcome, null, null);
        PoseError pose = PoseError.Of(outcome.Corners, Truth);
        return new(outcome, pose, Judge(outcome.Picture, pose.Common, null));
    }

    public void Dispose() => _folder.Delete(recursive: true);

    private PictureError Judge(string picture, CommonMotion common, string? labels) =>
        new PictureJudge(_scene, _case.Canvas, _faults).Judge(picture, common, labels, Environment.ProcessorCount);

    // Names the frames where a tile has several; with one each, their order does.
    private static PlanDocument WithFiles(PlanDocument plan, TruthDocument truth) => truth.Tiles.All(tile => tile.More is null) ? plan : plan with
    {
        Tiles = [.. plan.Tiles.Zip(truth.Tiles, (tile, real) => tile with { Files = [real.File, .. real.More!.Select(more => more.File)] })],
    };
}

/// <summary>A merge and what came of it; null where it failed.</summary>
internal sealed record MergeVerdict(MergeOutcome Outcome, PoseError? Pose, PictureError? Picture, WalkerFate? Walkers);

/// <summary>A merge by the library peer and what came of it; null where it failed.</summary>
internal sealed record PeerVerdict(PeerOutcome Outcome, PoseError? Pose, PictureError? Picture);
