using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Simulation;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Shoots a plan with the simulated camera and registers the frames, nothing else.</summary>
internal sealed class RegistrationBench : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-register-");

    /// <summary>Shoots.</summary>
    /// <param name="scene">What the lens casts.</param>
    /// <param name="plan">Where the tiles are shot.</param>
    /// <param name="faults">What is not perfect.</param>
    /// <param name="planned">Where they are said to be; null for where they are shot.</param>
    public RegistrationBench(IScene scene, PlanDocument plan, CameraFaults faults, PlanDocument? planned = null)
    {
        Plan = plan;
        Canvas = Canvas.Of(plan);
        var camera = new SimulatedCamera(scene, plan, faults);
        camera.Shoot(_folder.FullName, workers: 2);
        Truth = camera.Truth;
        Frames =
        [
            .. plan.Tiles.Select((tile, i) =>
            {
                FrameFile file = FrameFile.Open(Path.Combine(_folder.FullName, Truth.Tiles[i].File));
                TilePart said = (planned ?? plan).Tiles[i];
                (double x, double y) = Canvas.ToPixel(new(said.XMm, said.YMm));
                Frame frame = FrameImport.Import(file, file.QuarterTurns(plan.TheSensor(), tile), Path.Combine(_folder.FullName, $"{i}.raw"));
                return new PlacedFrame(tile.Id, frame, new(x, y, (said.RotationDeg ?? 0) * Math.PI / 180));
            }),
        ];
    }

    public PlanDocument Plan { get; }

    public Canvas Canvas { get; }

    public TruthDocument Truth { get; }

    public IReadOnlyList<PlacedFrame> Frames { get; }

    public SearchWindow Window(double toleranceMm, double degrees)
    {
        ISensor sensor = Plan.TheSensor();
        return new(toleranceMm * Canvas.PxPerMm, degrees * Math.PI / 180, Math.Sqrt((double)sensor.WidthPx * sensor.WidthPx + (double)sensor.HeightPx * sensor.HeightPx) / 2);
    }

    public RegistrationResult Register(double toleranceMm, double degrees, int workers = 2)
    {
        SearchWindow window = Window(toleranceMm, degrees);
        IReadOnlyList<GrayPyramid> pyramids = [.. Frames.Select(f => GrayPyramid.Of(f.Frame, Registrar.CoarsestLevel(window), default))];
        return Registrar.Register(Frames, pyramids, window, workers, new Silent(), default);
    }

    /// <summary>The error of the poses, by the design's definition.</summary>
    public PoseError Error(RegistrationResult result, params IReadOnlyList<string> only)
    {
        IEnumerable<int> kept = Enumerable.Range(0, Frames.Count).Where(i => only.Count == 0 || only.Contains(Frames[i].Id));
        var found = new MosaicDocument
        {
            Schema = MosaicDocument.SchemaName,
            PxPerMm = Canvas.PxPerMm,
            WidthPx = Canvas.Width,
            HeightPx = Canvas.Height,
            LeftMm = Canvas.LeftMm,
            TopMm = Canvas.TopMm,
            Master = "",
            Motion = "",
            Shading = new() { Model = "none" },
            Options = new() { ToleranceMm = 0, AngularToleranceDeg = 0, BlendLevels = 0 },
            Seed = 0,
            Pairs = [],
            Findings = [],
            Plan = Plan,
            Versions = new Dictionary<string, string>(),
            Tiles =
            [
                .. kept.Select(i =>
                {
                    Placement p = result.Solution.Placements[i];
                    return new MosaicTilePart
                    {
                        Id = Frames[i].Id,
                        File = "",
                        Sha256 = "",
                        XPx = p.X,
                        YPx = p.Y,
                        RotationDeg = p.Angle * 180 / Math.PI + 90 * Frames[i].Frame.QuarterTurns,
                        Scale = 1,
                        Gain = [1, 1, 1],
                        SigmaPx = 0,
                        SigmaDeg = 0,
                    };
                }),
            ],
        };
        return PoseError.Of(found, Truth);
    }

    public void Dispose()
    {
        foreach (PlacedFrame frame in Frames)
            frame.Frame.Dispose();
        _folder.Delete(recursive: true);
    }

    private sealed class Silent : IProgress<double>
    {
        public void Report(double value)
        {
        }
    }
}
