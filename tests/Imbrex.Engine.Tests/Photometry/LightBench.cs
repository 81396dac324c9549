using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Merging;
using Imbrex.Sdk.Geometry;
using NetVips;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Frames of the simulated camera at their true places, so that what is wrong in the picture is the light alone.</summary>
internal sealed class LightBench : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("imbrex-light-");
    private readonly Canvas _canvas;
    private readonly IReadOnlyList<PlacedFrame> _frames;
    private readonly IReadOnlyList<Placement> _placements;
    private readonly ushort[] _want;

    public LightBench(IScene scene, PlanDocument plan, CameraFaults faults, Action<TruthTilePart, string>? change = null)
    {
        var camera = new SimulatedCamera(scene, plan, faults);
        camera.Shoot(_folder.FullName, workers: 2);
        Truth = camera.Truth;
        _canvas = Canvas.Of(plan);
        foreach (TruthTilePart tile in Truth.Tiles)
            change?.Invoke(tile, Path.Combine(_folder.FullName, tile.File));
        _frames = [.. plan.Tiles.Select((tile, i) => Place(plan, tile, Truth.Tiles[i]))];
        _placements = [.. _frames.Select(f => f.Nominal)];
        Turns = [.. plan.Tiles.Select(tile => Sdk.Geometry.Turns.FromDegrees(tile.TurnDeg))];
        ISensor sensor = plan.TheSensor();
        Radius = Math.Sqrt((double)sensor.WidthPx * sensor.WidthPx + (double)sensor.HeightPx * sensor.HeightPx) / 2;
        _want = new ushort[_canvas.Width * _canvas.Height * Frame.Bands];
        var truth = new TruthPicture(scene, _canvas, faults);
        const int Strip = 64;
        Parallel.For(0, (_canvas.Height + Strip - 1) / Strip, k =>
        {
            int y = k * Strip, rows = Math.Min(Strip, _canvas.Height - y);
            truth.Read(new(0, y, _canvas.Width, rows), _want.AsSpan(y * _canvas.Width * Frame.Bands, rows * _canvas.Width * Frame.Bands));
        });
    }

    public TruthDocument Truth { get; }

    public IReadOnlyList<Turn> Turns { get; }

    public double Radius { get; }

    public FrameLight Light { get; } = FrameLight.FromProfile(Image.ProfileLoad("srgb"));

    public Evened Solve(bool sameExposure = false)
    {
        IReadOnlyList<SharedArea> areas = SharedArea.Find(_frames, _placements, 8);
        var pairs = new PairLight[areas.Count];
        Parallel.For(0, pairs.Length, i => pairs[i] = SharedLight.Measure(areas[i], _frames, _placements, Light));
        return Evened.Solve(new(Turns, Radius), pairs, Light, new(sameExposure, SeekShading: true));
    }

    /// <summary>
    /// Adds light to every pixel of some frames, as a part of the mean light that all frames recorded, multiplied by each frame's exposure: veiling glare.
    /// </summary>
    public static Action<TruthTilePart, string> Veil(double part, double meanLight, Func<TruthTilePart, bool> isVeiled) => (tile, path) =>
    {
        if (!isVeiled(tile))
            return;
        Rewrite(path, (code, _, _, band) => SrgbCurve.Encode16((float)(SrgbCurve.Decode16[code] + part * meanLight / tile.Gain[band])));
    };

    /// <summary>Paints over parts of a frame.</summary>
    public static void Paint(string path, (int X, int Y, int Width, int Height, ushort Code)[] parts) => Rewrite(path, (code, x, y, _) =>
    {
        foreach ((int left, int top, int width, int height, ushort own) in parts)
            code = x >= left && y >= top && x < left + width && y < top + height ? own : code;
        return code;
    });

    private static void Rewrite(string path, Func<ushort, int, int, int, ushort> change)
    {
        ushort[] codes = SmallTake.Pixels(path, out int width, out _);
        for (int i = 0; i < codes.Length; i++)
            codes[i] = change(codes[i], i / Frame.Bands % width, i / Frame.Bands / width, i % Frame.Bands);
        using Image image = Image.NewFromMemory(codes, width, codes.Length / width / Frame.Bands, Frame.Bands, Enums.BandFormat.Ushort);
        using Image rgb = image.Copy(interpretation: Enums.Interpretation.Rgb16);
        rgb.Tiffsave(path);
    }

    public void Dispose()
    {
        foreach (PlacedFrame frame in _frames)
            frame.Frame.Dispose();
        _folder.Delete(recursive: true);
    }

    public IReadOnlyList<Evening> Evenings(Evened evened) => [.. evened.Corrections.Select(correction => new Evening(Light, correction, HighlightTone.Plain(Light)))];

    /// <summary>Evenings with the camera's own gains, shading and glare.</summary>
    /// <param name="glare">Light that was added before the gain.</param>
    /// <param name="isVeiled">To which frames.</param>
    public IReadOnlyList<Evening> TrueEvenings(double glare = 0, Func<TruthTilePart, bool>? isVeiled = null) =>
    [
        .. Truth.Tiles.Select((tile, i) => new Evening(Light, new LightCorrection(tile.Gain, [new TrueShading(Truth.Shading, Turns[i], Radius)],
            isVeiled?.Invoke(tile) == true ? [.. tile.Gain.Select(gain => glare / gain)] : null), HighlightTone.Plain(Light))),
    ];

    /// <summary>Largest error of a gain, stops, and their root mean square.</summary>
    public (double Worst, double Rms) GainError(Evened evened)
    {
        double[] errors = [.. evened.Gains.SelectMany((gain, i) => gain.Select((g, band) => Math.Log2(g / Truth.Tiles[i].Gain[band])))];
        return (errors.Max(Math.Abs), Math.Sqrt(errors.Average(e => e * e)));
    }

    /// <summary>Blends the picture and compares it with the truth.</summary>
    public LightResult Render(IReadOnlyList<Evening> evenings, int levels = 0)
    {
        var seams = new SeamMap(_frames, _placements);
        FrameSampler[] samplers = [.. _frames.Select((frame, i) => new FrameSampler(frame.Frame, _placements[i], evenings[i]))];
        var got = new ushort[_want.Length];
        var labels = new byte[_canvas.Width * _canvas.Height];
        IReadOnlyList<CanvasArea> blocks = CanvasBlender.Blocks(_canvas.Width, _canvas.Height);
        WorkerCrew.Run(2, blocks.Count, () => new BlockBlender(seams, samplers, levels, CanvasBlender.CoreSide, Frame.Bands), (blender, i) =>
        {
            CanvasArea block = blocks[i];
            var samples = new ushort[block.Size * Frame.Bands];
            var label = new byte[block.Size];
            blender.Blend(block, samples);
            seams.Fill(block, label, new float[block.Size]);
            for (int row = 0; row < block.Height; row++)
            {
                int at = (block.Y + row) * _canvas.Width + block.X;
                samples.AsSpan(row * block.Width * Frame.Bands, block.Width * Frame.Bands).CopyTo(got.AsSpan(at * Frame.Bands));
                label.AsSpan(row * block.Width, block.Width).CopyTo(labels.AsSpan(at));
            }
        }, CancellationToken.None);
        return LightResult.Compare(got, _want, labels, _canvas.Width, _canvas.Height);
    }

    private PlacedFrame Place(PlanDocument plan, TilePart tile, TruthTilePart truth)
    {
        FrameFile file = FrameFile.Open(Path.Combine(_folder.FullName, truth.File));
        int quarters = file.QuarterTurns(plan.TheSensor(), tile);
        Frame frame = FrameImport.Import(file, quarters, Path.Combine(_folder.FullName, tile.Id + ".raw"));
        return new(tile.Id, frame, new(truth.XPx, truth.YPx, Angles.Wrap(truth.RotationDeg - 90 * quarters) * (Math.PI / 180)));
    }

    private sealed class TrueShading(ShadingPart shading, Turn turn, double radius) : ILightField
    {
        public double Factor(int band, double dx, double dy)
        {
            (double x, double y) = SensorShading.Place(dx, dy, turn, radius);
            return 1 / (1 - shading.Quadratic[band] * (x * x + y * y) + shading.Across[band] * x + shading.Down[band] * y);
        }
    }
}
