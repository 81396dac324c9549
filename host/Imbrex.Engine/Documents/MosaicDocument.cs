namespace Imbrex.Engine.Documents;

/// <summary>The merged picture: where every tile came to lie, how well, and all that is needed to make it again.</summary>
public sealed record MosaicDocument : JsonDocument
{
    public const string SchemaName = "imbrex/mosaic/1";

    public required double PxPerMm { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }

    /// <summary>Left edge of the canvas in the scene frame (u = -x), mm.</summary>
    public required double LeftMm { get; init; }

    /// <summary>Top edge of the canvas in the scene frame (v = -y), mm.</summary>
    public required double TopMm { get; init; }

    /// <summary>The master, relative to this file.</summary>
    public required string Master { get; init; }

    /// <summary>
    /// How tiles were allowed to move: <c>shift-rotation</c>, and beyond it the last of <c>sensor-tilt</c>, <c>seat</c>, <c>scale</c>, <c>projective</c>
    /// that the residuals justified.
    /// </summary>
    public required string Motion { get; init; }

    /// <summary>What was tried beyond shift and rotation, and what was found; absent where nothing could be tried.</summary>
    public MotionPart? MotionDetail { get; init; }

    /// <summary>Shading fixed to the sensor that was taken out.</summary>
    public required MosaicShadingPart Shading { get; init; }

    /// <summary>What became of the brightest light; absent where nothing had to be done.</summary>
    public MosaicHighlightsPart? Highlights { get; init; }
    public required MergeOptionsPart Options { get; init; }
    public required long Seed { get; init; }
    public required IReadOnlyList<MosaicTilePart> Tiles { get; init; }
    public required IReadOnlyList<PairPart> Pairs { get; init; }
    public required IReadOnlyList<FindingPart> Findings { get; init; }
    public required PlanDocument Plan { get; init; }

    /// <summary>Versions of what took part, by name.</summary>
    public required IReadOnlyDictionary<string, string> Versions { get; init; }

    internal override void Validate(DocumentCheck check)
    {
        check.Positive(PxPerMm, "$.pxPerMm");
        check.Require(WidthPx > 0, "$.widthPx", "The width must be greater than 0.");
        check.Require(HeightPx > 0, "$.heightPx", "The height must be greater than 0.");
        Plan.Validate(check);
        Options.Validate(check, "$.options");
        check.Require(!Path.IsPathRooted(Master) && !Master.Contains(".."), "$.master", "The master lies beside this file.");
        check.Each(Tiles, "$.tiles", (tile, at) =>
        {
            check.Require(tile.Gain.Count == 3, at + ".gain", "A gain has three values: R, G, B.");
            check.Require(tile.Glare is null or { Count: 3 }, at + ".glare", "Glare has three values: R, G, B.");
        });
        check.Each(Pairs, "$.pairs", (_, _) => { });
        check.Each(Findings, "$.findings", (finding, at) => check.Require(finding.Box is null or { Count: 4 }, at + ".box", "A box has four values: x, y, width, height."));
    }
}

/// <summary>What the merge was asked for.</summary>
public sealed record MergeOptionsPart
{
    /// <summary>How far tiles may lie from the plan, mm.</summary>
    public required double ToleranceMm { get; init; }

    /// <summary>How far tiles may be turned from the plan, degrees.</summary>
    public required double AngularToleranceDeg { get; init; }

    /// <summary>Turns imposed on stored pixels, degrees clockwise, by tile (the empty name: all); null where the rule decided.</summary>
    public IReadOnlyDictionary<string, int>? Orientation { get; init; }

    /// <summary>Levels of the blending pyramid, as many as the overlaps had room for.</summary>
    public required int BlendLevels { get; init; }

    /// <summary>Most levels that were allowed.</summary>
    public int MostBlendLevels { get; init; } = Blending.CanvasBlender.MostLevels;

    /// <summary>Tiles of the plan that were left out: by wish, or because their frames are missing; absent where there are none.</summary>
    public IReadOnlyList<string>? Without { get; init; }

    /// <summary>Whether parts that no frame shows may stay: <c>transparent</c> or <c>refuse</c>.</summary>
    public string Holes { get; init; } = "transparent";

    /// <summary>What became the picture: <c>format</c>, <c>full</c> or <c>all</c>.</summary>
    public string Crop { get; init; } = "format";

    /// <summary>How several frames of one tile became one: <c>by-content</c>, <c>median</c>, <c>mean</c> or <c>brackets</c>.</summary>
    public string Series { get; init; } = "by-content";

    /// <summary>True where all frames were taken to be exposed alike, every gain 1; absent otherwise.</summary>
    public bool? SameExposure { get; init; }

    /// <summary>What became of the light that the lens loses away from its axis: <c>keep</c> or <c>remove</c>.</summary>
    public string Falloff { get; init; } = "keep";

    /// <summary>From the exit pupil to the image plane, mm, where it was given to take the falloff out; absent where the kit told, or the falloff was kept.</summary>
    public double? ImageDistanceMm { get; init; }

    /// <summary>Flat frames that were used; absent where there were none.</summary>
    public IReadOnlyList<LightFramePart>? Flats { get; init; }

    /// <summary>The dark frame that was used; absent where there was none.</summary>
    public LightFramePart? Dark { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Positive(ImageDistanceMm, path + ".imageDistanceMm");
        check.Each(Flats, path + ".flats", (_, _) => { });
    }
}

/// <summary>A flat or dark frame.</summary>
public sealed record LightFramePart
{
    /// <summary>The tile it is for; absent where it is for all.</summary>
    public string? Tile { get; init; }

    /// <summary>The file, relative to this one, with '/'.</summary>
    public required string File { get; init; }
    public required string Sha256 { get; init; }
}

/// <summary>
/// Shading fixed to the sensor: ln of the light left is the sum of coefficients times terms, over the sensor's own coordinates in units of its
/// half diagonal.
/// </summary>
public sealed record MosaicShadingPart
{
    /// <summary><c>none</c>, or <c>sensor</c> where one was taken out.</summary>
    public required string Model { get; init; }
    public IReadOnlyList<string>? Terms { get; init; }
    public IReadOnlyList<double>? R { get; init; }
    public IReadOnlyList<double>? G { get; init; }
    public IReadOnlyList<double>? B { get; init; }

    /// <summary>How much better it explains the overlaps than gains alone do.</summary>
    public double? FStatistic { get; init; }
}

/// <summary>
/// The shoulder that keeps light below white: linear light y above the knee k becomes k + (y - k) / (1 + c (y - k)) with c = 1 / (1 - k) - 1 / (top - k).
/// </summary>
public sealed record MosaicHighlightsPart
{
    /// <summary>Light up to here stays as it is, white 1.</summary>
    public required double Knee { get; init; }

    /// <summary>The most light after evening out, which becomes white; 1 where none exceeded it.</summary>
    public required double Top { get; init; }

    /// <summary>Tiles whose clipped light was led up to white; absent where there are none.</summary>
    public IReadOnlyList<string>? Lifted { get; init; }
}

/// <summary>One tile of the merged picture.</summary>
public sealed record MosaicTilePart
{
    public required string Id { get; init; }

    /// <summary>The frame, relative to this file, with '/'.</summary>
    public required string File { get; init; }
    public required string Sha256 { get; init; }

    /// <summary>Where the tile was shot several times: all its frames, of which <see cref="File"/> is the first; absent otherwise.</summary>
    public SeriesPart? Series { get; init; }

    /// <summary>Where the frame's centre lies on the canvas.</summary>
    public required double XPx { get; init; }
    public required double YPx { get; init; }

    /// <summary>Full rotation from stored pixels to the canvas, clockwise on the screen, in (-180, 180].</summary>
    public required double RotationDeg { get; init; }

    /// <summary>Size against the others: the mean of both directions at the frame's centre.</summary>
    public required double Scale { get; init; }

    /// <summary>What bends the tile beyond shift, rotation and scale; absent where nothing does.</summary>
    public WarpPart? Warp { get; init; }

    /// <summary>True where the file came turned already, so that its stored sides are the sensor's swapped; absent otherwise.</summary>
    public bool? StoredTurned { get; init; }

    /// <summary>Factors on linear light for R, G, B; geometric mean over the tiles 1.</summary>
    public required IReadOnlyList<double> Gain { get; init; }

    /// <summary>Veiling glare: linear light that was taken off before the gain, R, G, B, white 1; absent where none was found.</summary>
    public IReadOnlyList<double>? Glare { get; init; }

    /// <summary>sqrt((sx^2 + sy^2) / 2) of the centre with the mean of all tiles fixed, px.</summary>
    public required double SigmaPx { get; init; }
    public required double SigmaDeg { get; init; }
}

/// <summary>Several frames of one tile that became one.</summary>
public sealed record SeriesPart
{
    /// <summary><c>median</c>, <c>mean</c> or <c>brackets</c>.</summary>
    public required string Rule { get; init; }
    public required IReadOnlyList<SeriesFramePart> Frames { get; init; }
}

/// <summary>One frame of a series.</summary>
public sealed record SeriesFramePart
{
    /// <summary>The frame, relative to this file, with '/'.</summary>
    public required string File { get; init; }
    public required string Sha256 { get; init; }

    /// <summary>How far it shows moved against the first, px; taken back.</summary>
    public required double ShiftPx { get; init; }

    /// <summary>How much more light it recorded than the darkest of the series, stops of green; taken back.</summary>
    public required double Stops { get; init; }
}

/// <summary>
/// A frame seen askew: canvas = (xPx, yPx) + R (I + E) d / (1 + g . d), with d the offset from the centre of the upright frame and R the rotation that is left of
/// rotationDeg when the quarter turns from stored to upright are taken off. E holds the scale too.
/// </summary>
public sealed record WarpPart
{
    /// <summary>E, row after row.</summary>
    public required IReadOnlyList<double> E { get; init; }

    /// <summary>g, 1/px.</summary>
    public required IReadOnlyList<double> G { get; init; }
}

/// <summary>How tiles move beyond shift and rotation.</summary>
public sealed record MotionPart
{
    /// <summary>What was tried, in order.</summary>
    public required IReadOnlyList<MotionModelPart> Models { get; init; }

    /// <summary>Tilt of the sensor along the body's right and down, radians for each mm of the distance from exit pupil to image plane; its sign is that of p in canvas = C + (T - C + d) / (1 - p . d).</summary>
    public IReadOnlyList<double>? SensorTiltPerMm { get; init; }

    /// <summary>Tilt of the back when turned the other way than for the first tile, along the canvas's right and down, likewise.</summary>
    public IReadOnlyList<double>? SeatTiltPerMm { get; init; }

    /// <summary>How many times larger the picture is with the back that way.</summary>
    public double? SeatScale { get; init; }
}

/// <summary>One model that was tried against that without it.</summary>
public sealed record MotionModelPart
{
    /// <summary>Its name, as in <c>motion</c>.</summary>
    public required string Name { get; init; }

    /// <summary>How many unknowns it adds.</summary>
    public required int Parameters { get; init; }

    /// <summary>How much more of the residuals it explains than as many unknowns would by chance.</summary>
    public required double FStatistic { get; init; }

    /// <summary>How likely chance alone would reach that.</summary>
    public required double Probability { get; init; }

    /// <summary>Root mean square of what it takes off the residuals, px.</summary>
    public required double EffectPx { get; init; }
    public required bool Used { get; init; }
}

/// <summary>How well two tiles agree after the placement.</summary>
public sealed record PairPart
{
    public required string A { get; init; }
    public required string B { get; init; }

    /// <summary>Measurements of their shared picture, and how many of them were used.</summary>
    public required int Measured { get; init; }
    public required int Used { get; init; }

    /// <summary>Root mean square of the remaining disagreement over the measurements used, px; null where none was used.</summary>
    public double? ResidualPx { get; init; }

    /// <summary>By how much the pair contradicts the ways round over other pairs, px; its measurements were dropped. Absent where it does not.</summary>
    public double? WrongByPx { get; init; }

    /// <summary>Remaining difference of exposure in stops, R, G, B; null where none could be measured.</summary>
    public IReadOnlyList<double>? ExposureStops { get; init; }

    /// <summary>Remaining colour difference, CIEDE2000, mean over patches that both show; null where none could be compared.</summary>
    public double? DeltaE00 { get; init; }
}

/// <summary>Something the user should know.</summary>
public sealed record FindingPart
{
    /// <summary>A fixed word, such as <c>orientation</c> or <c>hole</c>.</summary>
    public required string Kind { get; init; }
    public string? Tile { get; init; }
    public required string Text { get; init; }

    /// <summary>Where on the canvas, px: x, y, width, height; absent where the finding has no place.</summary>
    public IReadOnlyList<int>? Box { get; init; }
}
