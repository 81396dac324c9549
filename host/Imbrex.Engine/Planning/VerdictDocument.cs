using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>What the acceptance rules say of a layout: accepted or refused, why, and what would do.</summary>
public sealed record VerdictDocument : JsonDocument
{
    public const string SchemaName = "imbrex/verdict/1";

    public required bool Accepted { get; init; }

    /// <summary>The verdict in one or two sentences.</summary>
    public required string Summary { get; init; }
    public required int Frames { get; init; }
    public required SizePart Format { get; init; }

    /// <summary>The overlap asked for, mm.</summary>
    public required double OverlapMm { get; init; }

    /// <summary>How far the back may miss a position, mm: the worse of the two directions.</summary>
    public required double ToleranceMm { get; init; }

    /// <summary>The same along x and along y, where the two differ.</summary>
    public IReadOnlyList<double>? ToleranceAlongMm { get; init; }
    public required double AngularToleranceDeg { get; init; }

    /// <summary>What is certain of a tile, body upright; sides of 0 where nothing is.</summary>
    public required IReadOnlyList<double> UsableTileMm { get; init; }

    /// <summary>The rules in the order of their judgement.</summary>
    public required IReadOnlyList<RulePart> Rules { get; init; }
    public required IReadOnlyList<FailurePart> Failures { get; init; }

    /// <summary>What the usable tiles fill together without regard to the overlap, the same shape first, then made wider or higher; null for nothing.</summary>
    public SizePart? Filled { get; init; }

    /// <summary>The overlap that holds everywhere in the format, or in <see cref="Filled"/> where the format is not filled.</summary>
    public MeasuredOverlapPart? MeasuredOverlap { get; init; }

    /// <summary>The weakest of the links by which the tiles hang together; null for a single tile or where some do not meet at all.</summary>
    public LinkPart? WeakestLink { get; init; }

    /// <summary>On refusal: the largest format of the same shape that these tiles fill with the overlap asked for.</summary>
    public SizePart? LargestFormat { get; init; }

    /// <summary>On refusal: what would do.</summary>
    public required IReadOnlyList<RemedyPart> Remedies { get; init; }

    /// <summary>What the photographer should know, such as where a slide must be run past a stop and brought back.</summary>
    public required IReadOnlyList<string> Notes { get; init; }

    /// <summary>The handling that the shooting order needs, where a back is known.</summary>
    public HandlingPart? Handling { get; init; }

    /// <summary>What refuses nothing and should be known; null for nothing.</summary>
    public IReadOnlyList<WarningPart>? Warnings { get; init; }

    /// <summary>What cannot be told, and which members would tell it; null for nothing.</summary>
    public IReadOnlyList<MissingPart>? Missing { get; init; }

    /// <summary>What lens and picture come to; null without a lens.</summary>
    public OpticsPart? Optics { get; init; }

    /// <summary>Whether the camera can focus through the back; null where a length is missing.</summary>
    public FocusPart? Focus { get; init; }

    /// <summary>Whether body and back clear each other; null where no outlines are known.</summary>
    public ClearancePart? Clearance { get; init; }

    /// <summary>Where to clamp a mount that slides: from the film datum to the mount, mm; null where there is nothing to set.</summary>
    public double? MountDepthMm { get; init; }

    /// <summary>How long to expose and how long the take lasts; null where the picture says nothing of it.</summary>
    public ExposurePart? Exposure { get; init; }

    /// <summary>The margins that this verdict was given with.</summary>
    internal Margins Margins() => new(ToleranceAlongMm is [double x, double y] ? new PlaneTolerance(x, y) : ToleranceMm, AngularToleranceDeg);

    /// <summary>A tolerance as <see cref="ToleranceAlongMm"/> gives it.</summary>
    internal static IReadOnlyList<double>? Along(Margins margins) => margins.Position is var both && both.X == both.Y ? null : [both.X, both.Y];

    internal override void Validate(DocumentCheck check)
    {
        Format.Validate(check, "$.format");
        check.Require(ToleranceAlongMm is null or { Count: 2 }, "$.toleranceAlongMm", "The tolerance along x and y is [x, y].");
        check.NotNegative(OverlapMm, "$.overlapMm");
        check.Each(Rules, "$.rules", (rule, at) => check.Require(
            rule.Outcome is RulePart.Passed or RulePart.Failed or RulePart.Skipped, at + ".outcome", "The outcome is passed, failed or skipped."));
        check.Each(Failures, "$.failures", (_, _) => { });
        check.Each(Remedies, "$.remedies", (_, _) => { });
        check.Each(Warnings, "$.warnings", (_, _) => { });
        check.Each(Missing, "$.missing", (_, _) => { });
        check.Require(Accepted == (Failures.Count == 0), "$.accepted", "A layout is accepted if and only if no rule fails.");
    }
}

/// <summary>One rule and how it came out.</summary>
public sealed record RulePart
{
    public const string Passed = "passed";
    public const string Failed = "failed";
    public const string Skipped = "skipped";

    /// <summary><c>reach</c>, <c>coverage</c>, <c>overlap</c>, <c>joined</c>, <c>movements</c>, <c>light</c>, <c>focus</c>, <c>clearance</c>; <c>layout</c> where the layout itself refuses.</summary>
    public required string Rule { get; init; }
    public required string Outcome { get; init; }
    public required string Text { get; init; }
}

/// <summary>One thing that fails.</summary>
public sealed record FailurePart
{
    public required string Rule { get; init; }
    public required string Text { get; init; }

    /// <summary>The tiles that have to do with it.</summary>
    public required IReadOnlyList<string> Tiles { get; init; }

    /// <summary>
    /// Where it fails, as rings [[x, y], …] on the image plane, the outline first, then holes. For coverage what no tile shows; for overlap
    /// where the middle of a window lies that no tile holds; for clearance where both parts are.
    /// </summary>
    public IReadOnlyList<IReadOnlyList<IReadOnlyList<double>>>? Region { get; init; }
    public double? AreaMm2 { get; init; }

    /// <summary>For clearance: how far the one part runs into the other.</summary>
    public double? InterferenceMm { get; init; }

    /// <summary>For clearance: from the film datum to the mount, from where on the two clear; null where no depth frees them.</summary>
    public double? FreeFromDepthMm { get; init; }
}

/// <summary>How body and back clear each other.</summary>
public sealed record ClearancePart
{
    /// <summary>The smallest gap in any setting and on any way; null where something collides, or nothing comes near.</summary>
    public double? TightestGapMm { get; init; }

    /// <summary>Where the usual way from one tile to the next would collide and another does not.</summary>
    public required IReadOnlyList<CautionPart> Cautions { get; init; }
}

/// <summary>A way from one tile to the next that is not the usual one.</summary>
public sealed record CautionPart
{
    public required string FromTile { get; init; }
    public required string ToTile { get; init; }
    public required string Text { get; init; }
}

/// <summary>The overlap as it is.</summary>
public sealed record MeasuredOverlapPart
{
    /// <summary>Side of the largest window of which every one lies wholly in one tile.</summary>
    public required double WindowMm { get; init; }

    /// <summary>The same for windows without height: the overlap of neighbours side by side. Null where tiles are rotated.</summary>
    public double? AcrossMm { get; init; }

    /// <summary>The same for windows without width: the overlap of neighbours above each other. Null where tiles are rotated.</summary>
    public double? DownMm { get; init; }
}

/// <summary>A pair of tiles that share a part of the picture.</summary>
public sealed record LinkPart
{
    public required string A { get; init; }
    public required string B { get; init; }

    /// <summary>Side of the largest window that both hold.</summary>
    public required double SharedMm { get; init; }
}

/// <summary>Something that would do.</summary>
public sealed record RemedyPart
{
    /// <summary><c>format</c>, <c>overlap</c>, <c>tolerance</c>, <c>layout</c>, <c>aperture</c>, <c>least-light</c>, <c>movements</c>, <c>lens</c>, <c>dark-corners</c>, <c>focus</c> or <c>clearance</c>.</summary>
    public required string Kind { get; init; }
    public required string Text { get; init; }

    /// <summary>For a layout: its name and the parameters to give it.</summary>
    public LayoutPart? Layout { get; init; }
}

/// <summary>The handling between the exposures of a plan.</summary>
public sealed record HandlingPart
{
    public required int BackTurns { get; init; }
    public required int CameraTurns { get; init; }

    /// <summary>Stops that can only be approached from the wrong side, so that the slide is run past them and brought back.</summary>
    public required int Overshoots { get; init; }
    public required double TravelMm { get; init; }

    /// <summary>Whether no other order of these settings needs less.</summary>
    public required bool Exact { get; init; }

    /// <summary>What to call the axes, in the kit's order: <c>x</c>, <c>y</c>, <c>arm</c>, or a number.</summary>
    public required IReadOnlyList<string> Axes { get; init; }
}
