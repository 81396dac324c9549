using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Series;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>What to merge, and how.</summary>
public sealed record MergeRequest
{
    /// <summary>The plan, with or without the names of its frames.</summary>
    public required PlanDocument Plan { get; init; }

    /// <summary>Folder of the frames.</summary>
    public required string FramesFolder { get; init; }

    /// <summary>The frames of each tile by its id (none where they are missing), or null to find them in the folder as the plan and <see cref="Matching"/> say.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<string>>? Frames { get; init; }

    /// <summary>Folder that receives mosaic.json, master.tif and report.html; made where it does not exist.</summary>
    public required string OutputFolder { get; init; }

    /// <summary>Whether existing output may be replaced.</summary>
    public bool Force { get; init; }

    /// <summary>How the frames are matched where the plan does not name them, and which tiles are left out.</summary>
    public MatchRule Matching { get; init; } = new();

    /// <summary>What becomes of parts of the picture that no frame shows.</summary>
    public HoleRule Holes { get; init; }

    /// <summary>How much of what the frames show becomes the picture.</summary>
    public CropRule Crop { get; init; }

    /// <summary>How several frames of one tile become one.</summary>
    public SeriesRule Series { get; init; }

    /// <summary>How far tiles may lie from the plan, mm; null: what the kit says, or 0.5 mm.</summary>
    public double? ToleranceMm { get; init; }

    /// <summary>How far tiles may be turned from the plan, degrees; null: what the kit says, or 0.5 degrees.</summary>
    public double? AngularToleranceDeg { get; init; }

    /// <summary>
    /// Turn imposed on the stored pixels, degrees clockwise: for all tiles under the empty name, or for single tiles by their id.
    /// </summary>
    public IReadOnlyDictionary<string, int> Orientation { get; init; } = new Dictionary<string, int>();

    /// <summary>All frames are known to have been exposed alike: every gain is 1, and a ramp over the sensor can be found.</summary>
    public bool SameExposure { get; init; }

    /// <summary>What becomes of the light that the lens loses away from its axis.</summary>
    public FalloffRule Falloff { get; init; }

    /// <summary>From the exit pupil to the image plane, mm, for the falloff; null: as the kit's lens and the picture's focus say.</summary>
    public double? ImageDistanceMm { get; init; }

    /// <summary>Flat frames by tile, or one for all under the empty name; empty for none.</summary>
    public IReadOnlyDictionary<string, string> Flats { get; init; } = new Dictionary<string, string>();

    /// <summary>The dark frame, or null.</summary>
    public string? Dark { get; init; }

    /// <summary>Most levels of the blending pyramid, 0 to 5.</summary>
    public int BlendLevels { get; init; } = Blending.CanvasBlender.MostLevels;

    /// <summary>Number of threads; has no influence on the result.</summary>
    public int Workers { get; init; } = 1;

    /// <summary>Version of the program, for the record.</summary>
    public string ProgramVersion { get; init; } = "";

    /// <summary>SHA-256 that files must have, by their full paths; checked when they are read. Other files may have any.</summary>
    public IReadOnlyDictionary<string, string> Hashes { get; init; } = new Dictionary<string, string>();

    /// <summary>A file's hash, if it is the one that is asked for.</summary>
    /// <param name="path">The file.</param>
    /// <param name="sha256">Its hash.</param>
    /// <param name="what">What it is, to begin a sentence with.</param>
    /// <exception cref="InputException">Another file is asked for.</exception>
    internal string Accepted(string path, string sha256, string what) => Hashes.TryGetValue(Path.GetFullPath(path), out string? wanted) && wanted != sha256
        ? throw new InputException($"{what} is not the one that was merged: its SHA-256 has changed.", path, "Bring back the original file.")
        : sha256;

    /// <summary>Is told where frames and seams lie before they are blended, for tests that look beside the seams.</summary>
    internal Action<SettledMosaic>? WhenSettled { get; init; }
}

/// <summary>Where frames and seams lie.</summary>
/// <param name="Seams">Which frame shows where.</param>
/// <param name="Frames">The frames; closed when the merge ends.</param>
/// <param name="Placements">Their places.</param>
internal sealed record SettledMosaic(SeamMap Seams, IReadOnlyList<PlacedFrame> Frames, IReadOnlyList<Placement> Placements);

/// <summary>What becomes of parts of the picture that no frame shows.</summary>
public enum HoleRule
{
    /// <summary>They are transparent in the master, and a finding says so.</summary>
    Transparent,

    /// <summary>Nothing is written.</summary>
    Refuse,
}

/// <summary>How much of what the frames show becomes the picture.</summary>
public enum CropRule
{
    /// <summary>The plan's format.</summary>
    Format,

    /// <summary>The largest upright rectangle without a hole.</summary>
    Full,

    /// <summary>Everything that any frame shows.</summary>
    All,
}

/// <summary>What becomes of the light that the lens loses away from its axis.</summary>
public enum FalloffRule
{
    /// <summary>It stays: it belongs to the lens's picture, and no overlap can show it.</summary>
    Keep,

    /// <summary>It is taken out by the law of cos^4 about the lens axis.</summary>
    Remove,
}

/// <summary>A finished merge.</summary>
/// <param name="Mosaic">The document that was written.</param>
/// <param name="MosaicFile">Its path.</param>
/// <param name="MasterFile">Path of the master.</param>
/// <param name="Preview">The picture at a reduced size, as a JPEG.</param>
/// <param name="Stages">Seconds of each stage, in order; measured by the caller's clock.</param>
public sealed record MergeResult(MosaicDocument Mosaic, string MosaicFile, string MasterFile, byte[] Preview, IReadOnlyList<StageTime> Stages);

/// <summary>How long a stage took.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Seconds">Seconds.</param>
public readonly record struct StageTime(string Stage, double Seconds);
