using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Merging;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

/// <summary>Frames of the simulated camera in their true places with their true gains, with walkers painted in, and the seams found in them.</summary>
internal sealed class SeamBench : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-seams-");
    private readonly PlanDocument _plan;
    private readonly TruthDocument _truth;
    private readonly Canvas _canvas;
    private List<PlacedFrame>? _frames;

    public SeamBench(IScene scene, PlanDocument plan, CameraFaults faults)
    {
        (_plan, _canvas) = (plan, Canvas.Of(plan));
        var camera = new SimulatedCamera(scene, plan, faults);
        camera.Shoot(_folder.FullName);
        _truth = camera.Truth;
    }

    public int Width => _canvas.Width;

    public int Height => _canvas.Height;

    public IReadOnlyList<PlacedFrame> Frames => _frames ??= [.. _truth.Tiles.Select(Open)];

    /// <summary>How far frames are put beside their true places, px.</summary>
    public double Misplaced { get; init; }

    public IReadOnlyList<Placement> Placements => [.. Frames.Select((frame, i) =>
        frame.Nominal with { X = frame.Nominal.X + Misplaced * (i % 2), Y = frame.Nominal.Y + 0.7 * Misplaced * (i % 3) })];

    public int Index(string tile) => _plan.Tiles.ToList().FindIndex(t => t.Id == tile);

    /// <summary>Paints a walker, a head on a coat, into one frame; the box is in canvas px.</summary>
    public void Paint(string tile, CanvasArea box, params double[] ink)
    {
        TruthTilePart part = _truth.Tiles.Single(t => t.Id == tile);
        (double x, double y) = new Placement(part.XPx, part.YPx, part.RotationDeg * Math.PI / 180).ToFrame(box.X, box.Y);
        int left = (int)Math.Round(x + (_plan.TheSensor().WidthPx - 1) / 2.0), top = (int)Math.Round(y + (_plan.TheSensor().HeightPx - 1) / 2.0);
        Walkers.Paint(Path.Combine(_folder.FullName, part.File), left, top, box.Width, box.Height, ink);
    }

    /// <summary>Replaces a tile's frame by itself, changed.</summary>
    public void Change(string tile, Func<NetVips.Image, NetVips.Image> change) =>
        SmallTake.Change(Path.Combine(_folder.FullName, _truth.Tiles.Single(t => t.Id == tile).File), change);

    /// <summary>Keeps the cells of frames.</summary>
    public CellShelf Shelf(int mostHeld = 4) => new(Path.Combine(_folder.FullName, Guid.NewGuid().ToString()), mostHeld);

    public FoundSeams Find(int workers = 2, int mostHeld = 4)
    {
        using CellShelf shelf = Shelf(mostHeld);
        FrameLight light = FrameLight.FromProfile([]);
        Evening[] evenings = [.. _truth.Tiles.Select(tile => new Evening(light, [.. tile.Gain.Select(gain => 1 / gain)]))];
        return SeamFinder.Find(Frames, Placements, evenings, Width, Height, shelf, workers, new Silent(), TestContext.Current.CancellationToken);
    }

    public SeamMap Map(FoundSeams found) => new(Frames, Placements, found);

    /// <summary>The frames shown in an area.</summary>
    public int[] Shown(FoundSeams found, CanvasArea area)
    {
        var labels = new byte[area.Size];
        Map(found).Fill(area, labels, new float[area.Size]);
        return [.. labels.Distinct().Select(label => (int)label).Order()];
    }

    public void Dispose()
    {
        foreach (PlacedFrame frame in _frames ?? [])
            frame.Frame.Dispose();
        _folder.Delete(recursive: true);
    }

    private PlacedFrame Open(TruthTilePart tile)
    {
        Frame frame = FrameImport.Import(FrameFile.Open(Path.Combine(_folder.FullName, tile.File)), 0, Path.Combine(_folder.FullName, tile.Id + ".raw"));
        return new(tile.Id, frame, new(tile.XPx, tile.YPx, tile.RotationDeg * Math.PI / 180));
    }

    private sealed class Silent : IProgress<double>
    {
        public void Report(double value)
        {
        }
    }
}

/// <summary>Paints people into frames on disk.</summary>
internal static class Walkers
{
    /// <summary>A coat of one colour and a head half as bright, filling a box of stored pixels; what lies beyond the frame is cut off.</summary>
    public static void Paint(string path, int left, int top, int width, int height, double[] ink) =>
        SmallTake.Change(path, image => image.Mutate(picture =>
        {
            int head = height / 4;
            picture.DrawCircle([.. ink.Select(value => value / 2)], left + width / 2, top + head / 2, head / 2, fill: true);
            picture.DrawRect(ink, left, top + head, width, height - head, fill: true);
        }));
}
