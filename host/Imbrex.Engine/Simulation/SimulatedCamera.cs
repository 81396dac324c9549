using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;

namespace Imbrex.Engine.Simulation;

/// <summary>Makes the frames that a kit would record of a scene, faults included, and tells the truth about them.</summary>
public sealed class SimulatedCamera
{
    private const int BandRows = 256;
    private const int BlockColumns = 512;

    // The engine reads no clock: an invented morning in the quarry.
    private static readonly DateTime FirstExposure = new(2026, 5, 17, 10, 0, 0, DateTimeKind.Unspecified);

    private readonly IScene _scene;
    private readonly Canvas _canvas;
    private readonly Shot[] _shots;
    private readonly int _exposures;
    private readonly byte[] _profile = NetVips.Image.ProfileLoad("srgb");

    /// <summary>Sets the camera up.</summary>
    /// <param name="scene">What the lens casts; its grid is the canvas of the plan's format.</param>
    /// <param name="plan">
    /// Sensor, format and tiles; frames are named as the plan says, else <c>frame-001.tif</c> and on. With several frames of a tile their number comes
    /// behind: <c>tile-001-1.tif</c>, <c>tile-001-2.tif</c>.
    /// </param>
    /// <param name="faults">What is not perfect.</param>
    /// <exception cref="InputException">A fault is out of range, or names a tile that is not in the plan.</exception>
    public SimulatedCamera(IScene scene, PlanDocument plan, CameraFaults faults)
    {
        ArgumentNullException.ThrowIfNull(scene);
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(faults);
        faults.Validate();
        RequireTiles(plan, faults);
        _scene = scene;
        _canvas = Canvas.Of(plan);
        _exposures = faults.Series.Exposures;
        ShadingPart shading = ShotFaults.Shading(faults);
        TileLight[] lights = Lights(scene, plan, faults, shading);
        _shots = [.. from tile in Enumerable.Range(0, plan.Tiles.Count)
                     from exposure in Enumerable.Range(0, _exposures)
                     select Shot.Of(plan, tile, exposure, _canvas, faults, lights[tile])];
        SensorStance stance = faults.Stance;
        Truth = new TruthDocument
        {
            Schema = TruthDocument.SchemaName,
            Seed = faults.Seed,
            PxPerMm = _canvas.PxPerMm,
            WidthPx = _canvas.Width,
            HeightPx = _canvas.Height,
            LeftMm = _canvas.LeftMm,
            TopMm = _canvas.TopMm,
            Shading = shading,
            SensorTiltDeg = stance is { TiltXDeg: 0, TiltYDeg: 0 } ? null : [stance.TiltXDeg, stance.TiltYDeg],
            Tiles = [.. plan.Tiles.Select((tile, number) => TruthOf(tile, number, faults, lights[number]))],
        };
    }

    /// <summary>What a perfect merge would find.</summary>
    public TruthDocument Truth { get; }

    /// <summary>Records all frames into a folder as 16-bit TIFF with Exif and the sRGB profile, then <c>truth.json</c>.</summary>
    /// <param name="folder">The folder; made if it is not there.</param>
    /// <param name="force">Whether to replace files of the same names.</param>
    /// <param name="workers">Threads; the frames do not depend on their number.</param>
    /// <param name="progress">Receives the done part.</param>
    /// <param name="cancellation">Is heard within a band of 256 rows; nothing of this run is left then.</param>
    /// <exception cref="InputException">A file is there already, the folder cannot be written, or the disk is full.</exception>
    public void Shoot(string folder, bool force = false, int workers = 1, IProgress<StageProgress>? progress = null, CancellationToken cancellation = default)
    {
        string truthPath = Path.Combine(folder, TruthDocument.FileName);
        string[] paths = [.. _shots.Select(shot => Path.Combine(folder, shot.File)), truthPath];
        foreach (string path in paths)
            OutputFile.RefuseExisting(path, force);
        int written = 0;
        try
        {
            foreach (string path in paths)
                OutputFile.MakeFolder(Path.GetDirectoryName(Path.GetFullPath(path))!);
            for (; written < _shots.Length; written++)
            {
                int before = written;
                Record(_shots[before], paths[before], workers,
                    done => progress?.Report(new("exposing", (before + done) / _shots.Length)), cancellation);
            }
            OutputFile.Write(truthPath, JsonDocuments.ToBytes(Truth));
        }
        catch
        {
            foreach (string path in paths.Take(written))
                OutputFile.TryDelete(path);
            throw;
        }
    }

    /// <summary>Renders a block of one frame as it would be stored, three samples per pixel.</summary>
    /// <param name="tile">Number of the tile in the plan, from 0.</param>
    /// <param name="block">The block; it lies inside the frame.</param>
    /// <param name="rgb">Receives the samples.</param>
    /// <param name="exposure">Which of the tile's frames, from 0.</param>
    public void Render(int tile, PixelBlock block, Span<ushort> rgb, int exposure = 0)
    {
        Shot shot = _shots[tile * _exposures + exposure];
        var light = new float[block.Area * 4];
        new ShotSampler(_scene, shot).Sample(block, light);
        shot.Light.Record(light, block, rgb, block.Width * 3);
    }

    private static void RequireTiles(PlanDocument plan, CameraFaults faults)
    {
        foreach ((string? id, string what) in faults.Walkers.Select(walker => ((string?)walker.Tile, "walk through"))
            .Append((faults.DefocusedTile, "defocus")).Append((faults.ShakenTile, "shake")))
        {
            if (id is not null && plan.Tiles.All(tile => tile.Id != id))
                throw new InputException($"There is no tile \"{id}\" to {what}.", nameof(plan.Tiles), "Name a tile of the plan.");
        }
    }

    private TileLight[] Lights(IScene scene, PlanDocument plan, CameraFaults faults, ShadingPart shading)
    {
        Vector3[] gains = ShotFaults.Gains(faults, plan.Tiles.Count);
        bool[] outer = ShotFaults.Outer(plan.Tiles);
        Vector3 glare = faults.VeilingGlare == 0 ? Vector3.Zero : (float)faults.VeilingGlare * ShotFaults.MeanLight(scene, _canvas.Width, _canvas.Height);
        return [.. gains.Select((gain, tile) => new TileLight(gain, outer[tile] ? glare : Vector3.Zero, shading))];
    }

    private TruthTilePart TruthOf(TilePart tile, int number, CameraFaults faults, TileLight light)
    {
        Shot[] shots = _shots[(number * _exposures)..((number + 1) * _exposures)];
        (double x, double y) = shots[0].Centre;
        double scale = ShotFaults.Pose(faults, number).Scale;
        return new()
        {
            Id = tile.Id,
            File = shots[0].File,
            XPx = x,
            YPx = y,
            RotationDeg = shots[0].Rotation,
            Scale = scale == 1 ? null : scale,
            CornersPx = shots[0].Corners,
            Gain = [1.0 / light.Gain.X, 1.0 / light.Gain.Y, 1.0 / light.Gain.Z],
            Glare = light.Glare == Vector3.Zero ? null : [light.Glare.X, light.Glare.Y, light.Glare.Z],
            Walkers = shots[0].Boxes,
            More = shots.Length == 1 ? null : [.. shots.Skip(1).Select(shot => More(shot, shots[0]))],
        };
    }

    private static TruthExposurePart More(Shot shot, Shot first)
    {
        (double x, double y) = shot.Centre;
        return new() { File = shot.File, XPx = x, YPx = y, RotationDeg = shot.Rotation, Stops = shot.Stops - first.Stops, Walkers = shot.Boxes };
    }

    private void Record(Shot shot, string path, int workers, Action<double> report, CancellationToken cancellation)
    {
        (int width, int height) = (shot.Light.Width, shot.Light.Height);
        var picture = new TiffPicture
        {
            Width = width,
            Height = height,
            IccProfile = _profile,
            PixelsPerMm = _canvas.PxPerMm,
            Orientation = shot.Tag,
            Exposure = new("Quarry Shed", "Shop-made rail back", FirstExposure.AddSeconds(40 * shot.Number), double.Exp2(shot.Stops) / 15, 16, 100, 150),
        };
        using var file = new TiffWriter(path, picture);
        int bands = (height + BandRows - 1) / BandRows, done = 0;
        WorkerCrew.Run(workers, bands, () => new Bench(_scene, shot, width), (bench, band) =>
        {
            int first = band * BandRows, rows = Math.Min(BandRows, height - first);
            for (int x = 0; x < width; x += BlockColumns)
            {
                var block = new PixelBlock(x, first, Math.Min(BlockColumns, width - x), rows);
                Span<float> light = bench.Light.AsSpan(0, block.Area * 4);
                bench.Sampler.Sample(block, light);
                shot.Light.Record(light, block, bench.Rows.AsSpan(x * 3), width * 3);
            }
            file.Write(0, first, width, rows, bench.Rows.AsSpan(0, rows * width * 3));
            report(Interlocked.Increment(ref done) / (double)bands);
        }, cancellation);
        file.Complete();
    }

    /// <summary>The buffers of one thread.</summary>
    private sealed class Bench(IScene scene, Shot shot, int width)
    {
        public ShotSampler Sampler { get; } = new(scene, shot);
        public float[] Light { get; } = new float[BandRows * BlockColumns * 4];
        public ushort[] Rows { get; } = new ushort[BandRows * width * 3];
    }
}
