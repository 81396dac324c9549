using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Merging;

/// <summary>What is known of the frames' light whatever the overlaps show: dark frame, flat fields, the lens's falloff and the openings before the sensor.</summary>
internal sealed class KnownLight
{
    private readonly MergeRequest _request;
    private readonly FrameFile? _darkFile;
    private readonly IReadOnlyDictionary<string, FrameFile> _flatFiles;
    private readonly Dictionary<string, SensorGrid> _flats = new(StringComparer.Ordinal);
    private readonly LensStance? _stance;
    private readonly KitOptics? _optics;
    private readonly Dictionary<string, string> _hashes = new(StringComparer.Ordinal);
    private SensorGrid? _dark;

    private KnownLight(MergeRequest request, FrameFile? dark, IReadOnlyDictionary<string, FrameFile> flats, LensStance? stance) =>
        (_request, _darkFile, _flatFiles, _stance, _optics) = (request, dark, flats, stance, KitOptics.Of(request.Plan.Kit, request.Plan.Picture));

    /// <summary>Whether flat fields take the sensor's shading out.</summary>
    public bool HasFlats => _flatFiles.Count > 0;

    /// <summary>Opens what the request names, before anything is written.</summary>
    /// <exception cref="InputException">A file cannot be used, or the falloff cannot be known.</exception>
    public static KnownLight Open(MergeRequest request)
    {
        FrameFile? dark = request.Dark is { } path ? OfSensor(FrameFile.Open(path), request.Plan, null, "dark") : null;
        Dictionary<string, FrameFile> flats = request.Flats.ToDictionary(flat => flat.Key,
            flat => OfSensor(FrameFile.Open(flat.Value), request.Plan, request.Plan.Tiles.FirstOrDefault(tile => tile.Id == flat.Key), "flat"), StringComparer.Ordinal);
        return new(request, dark, flats, request.Falloff == FalloffRule.Remove ? Stance(request) : null);
    }

    /// <summary>The part of a tile's frame to which the openings before the sensor leave enough light; null for all of it.</summary>
    /// <param name="tile">The tile.</param>
    /// <param name="format">The canvas of the plan's format.</param>
    public UsablePart? Usable(TilePart tile, Canvas format) => ClippedTile.Of(_optics, _request.Plan.TheSensor(), tile, format)?.Usable();

    /// <summary>Reads the files in.</summary>
    /// <param name="scratch">Receives what must be decoded, for a while.</param>
    /// <param name="cancellation">Cancels the work.</param>
    /// <exception cref="InputException">A frame is damaged, clipped or without light, or not the one that is asked for.</exception>
    public void Read(ScratchFolder scratch, CancellationToken cancellation)
    {
        if (_darkFile is not null)
        {
            Hash(_darkFile, MergeWords.DarkFrame, cancellation);
            _dark = Average(_darkFile, 0, scratch, cancellation);
        }
        foreach ((string tile, FrameFile file) in _flatFiles)
        {
            Hash(file, MergeWords.FlatFrame, cancellation);
            _flats[tile] = FlatField.Factor(Average(file, QuartersBack(file, tile), scratch, cancellation), _dark, file.Path);
        }
    }

    /// <summary>What is known of one frame's light.</summary>
    /// <param name="tile">Its tile.</param>
    /// <param name="placement">Where it lies.</param>
    /// <param name="canvas">The canvas on which it lies.</param>
    public LightCorrection Of(TilePart tile, Placement placement, Canvas canvas)
    {
        Turn turn = Turns.FromDegrees(tile.TurnDeg);
        var fields = new List<ILightField>();
        if (_flats.TryGetValue(tile.Id, out SensorGrid? flat) || _flats.TryGetValue("", out flat))
            fields.Add(new SensorField(flat, turn));
        // Flat frames of a tile hold what openings take from it too.
        if (!_flats.ContainsKey(tile.Id) && ClippedTile.Of(_optics, _request.Plan.TheSensor(), tile, canvas)?.Restored() is { } restored)
            fields.Add(restored);
        if (_stance is { } stance)
            fields.Add(new LensFalloff(placement, canvas, stance));
        return fields.Count == 0 && _dark is null ? LightCorrection.None : new([1, 1, 1], fields, glare: null, _dark is null ? null : new(_dark, turn));
    }

    /// <summary>Tells of it in the options of the mosaic.</summary>
    public MergeOptionsPart Describe(MergeOptionsPart options) => options with
    {
        Falloff = MergeWords.Of(_request.Falloff),
        ImageDistanceMm = _stance is null ? null : _request.ImageDistanceMm,
        Flats = _flatFiles.Count == 0 ? null : [.. _flatFiles.OrderBy(flat => flat.Key, StringComparer.Ordinal).Select(flat => Part(flat.Value, flat.Key))],
        Dark = _darkFile is null ? null : Part(_darkFile, ""),
    };

    private void Hash(FrameFile file, string what, CancellationToken cancellation) =>
        _hashes[file.Path] = _request.Accepted(file.Path, FileHash.Of(file.Path, cancellation), what);

    private LightFramePart Part(FrameFile file, string tile) => new()
    {
        Tile = tile.Length == 0 ? null : tile,
        File = Path.GetRelativePath(_request.OutputFolder, file.Path).Replace('\\', '/'),
        Sha256 = _hashes[file.Path],
    };

    private static LensStance Stance(MergeRequest request)
    {
        if (request.Flats.Count > 0 && !request.Flats.ContainsKey(""))
        {
            throw new InputException("Flat frames of every tile hold the lens's falloff too: it would be taken out twice.", "--falloff",
                "Give either flat frames of every tile or --falloff remove.");
        }
        PlanDocument plan = request.Plan;
        MovementsPart moved = plan.Picture?.Movements ?? new();
        if (request.ImageDistanceMm is > 0 and < double.PositiveInfinity and var distance)
            return LensStance.Of(distance, distance, moved.RiseMm ?? 0, moved.ShiftMm ?? 0, moved.TiltDeg ?? 0, moved.SwingDeg ?? 0);
        return KitOptics.Of(plan.Kit, plan.Picture)?.Stance ?? throw new InputException(
            "How far the lens stood from the image plane is not known, so its falloff cannot be taken out.", "--image-distance",
            "Give the distance from the exit pupil to the image plane in mm, such as --image-distance 150, or a plan whose kit names the lens.");
    }

    // Flat and dark frames have the sensor's own sides; only the flat frame of a tile shot with the body on its side may have been turned, as its frame may.
    private static FrameFile OfSensor(FrameFile file, PlanDocument plan, TilePart? tile, string kind)
    {
        ISensor sensor = plan.TheSensor();
        bool fits = (file.Width, file.Height) == (sensor.WidthPx, sensor.HeightPx)
            || (tile?.TurnDeg is 90 or 270 && (file.Width, file.Height) == (sensor.HeightPx, sensor.WidthPx));
        return fits ? file : throw new InputException(
            $"The {kind} frame is {file.Width} x {file.Height} px; the sensor has {sensor.WidthPx} x {sensor.HeightPx}.", file.Path,
            "Develop flat and dark frames like the take's frames: at full size, not cropped, not turned.");
    }

    // A flat frame that was turned upright goes back to how the sensor lay in the body.
    private int QuartersBack(FrameFile file, string tile) =>
        file.Width == _request.Plan.TheSensor().WidthPx ? 0 : 4 - _request.Plan.Tiles.Single(t => t.Id == tile).TurnDeg / 90;

    private static SensorGrid Average(FrameFile file, int quarters, ScratchFolder scratch, CancellationToken cancellation)
    {
        string decoded = scratch.File("flat.raw");
        try
        {
            using Frame frame = FrameImport.Import(file, quarters, decoded);
            return FlatField.Average(frame, FrameLight.FromProfile(file.IccProfile), file.Path, cancellation);
        }
        finally
        {
            OutputFile.TryDelete(decoded);
        }
    }
}
