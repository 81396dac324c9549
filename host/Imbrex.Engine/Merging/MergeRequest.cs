using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Merging;

/// <summary>What to merge, and how.</summary>
public sealed record MergeRequest
{
    /// <summary>The plan, with or without the names of its frames.</summary>
    public required PlanDocument Plan { get; init; }

    /// <summary>Folder of the frames.</summary>
    public required string FramesFolder { get; init; }

    /// <summary>Folder that receives mosaic.json, master.tif and report.html; made where it does not exist.</summary>
    public required string OutputFolder { get; init; }

    /// <summary>Whether existing output may be replaced.</summary>
    public bool Force { get; init; }

    /// <summary>How the frames are matched where the plan does not name them.</summary>
    public FrameOrder Order { get; init; }

    /// <summary>How far tiles may lie from the plan, mm; null: what the kit says, or 0.5 mm.</summary>
    public double? ToleranceMm { get; init; }

    /// <summary>How far tiles may be turned from the plan, degrees; null: what the kit says, or 0.5 degrees.</summary>
    public double? AngularToleranceDeg { get; init; }

    /// <summary>
    /// Turn imposed on the stored pixels, degrees clockwise: for all tiles under the empty name, or for single tiles by their id.
    /// </summary>
    public IReadOnlyDictionary<string, int> Orientation { get; init; } = new Dictionary<string, int>();

    /// <summary>Most levels of the blending pyramid, 0 to 5.</summary>
    public int BlendLevels { get; init; } = Blending.CanvasBlender.MostLevels;

    /// <summary>Number of threads; has no influence on the result.</summary>
    public int Workers { get; init; } = 1;

    /// <summary>Version of the program, for the record.</summary>
    public string ProgramVersion { get; init; } = "";

    /// <summary>Is told where the seams run, for tests that look beside them.</summary>
    internal Action<SeamMap>? WhenSeamsAreKnown { get; init; }
}

/// <summary>A finished merge.</summary>
/// <param name="Mosaic">The document that was written.</param>
/// <param name="MosaicFile">Its path.</param>
/// <param name="MasterFile">Path of the master.</param>
/// <param name="Stages">Seconds of each stage, in order; measured by the caller's clock.</param>
public sealed record MergeResult(MosaicDocument Mosaic, string MosaicFile, string MasterFile, IReadOnlyList<StageTime> Stages);

/// <summary>How long a stage took.</summary>
/// <param name="Stage">The stage.</param>
/// <param name="Seconds">Seconds.</param>
public readonly record struct StageTime(string Stage, double Seconds);
