using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Merging;

/// <summary>Writes down all that a merge found and what it was asked for, so that it can be made again.</summary>
/// <param name="request">What was asked for.</param>
/// <param name="inputs">What went into it.</param>
/// <param name="take">Its frames.</param>
internal sealed class MosaicRecord(MergeRequest request, MergeInputs inputs, Take take)
{
    /// <summary>The document to be written.</summary>
    /// <param name="canvas">The picture's own canvas.</param>
    /// <param name="registered">Where the frames lie on it.</param>
    /// <param name="evened">Their gains.</param>
    /// <param name="highlights">What became of their brightest light.</param>
    /// <param name="findings">What was found.</param>
    /// <param name="levels">Levels of the blending pyramid.</param>
    public MosaicDocument Describe(Canvas canvas, Registered registered, Evened evened, Highlights highlights, IReadOnlyList<FindingPart> findings, int levels) => new()
    {
        Schema = MosaicDocument.SchemaName,
        PxPerMm = canvas.PxPerMm,
        WidthPx = canvas.Width,
        HeightPx = canvas.Height,
        LeftMm = canvas.LeftMm,
        TopMm = canvas.TopMm,
        Master = MergeRunner.MasterName,
        Motion = registered.Motion,
        MotionDetail = registered.MotionDetail,
        Shading = DescribeShading(evened),
        Highlights = LightFindings.Describe(take.Frames, highlights),
        Options = inputs.Known.Describe(DescribeOptions(levels)),
        Seed = 0,
        Tiles = [.. take.Frames.Select((_, i) => DescribeTile(i, registered, evened))],
        Pairs = registered.DescribePairs(evened),
        Findings = findings,
        Plan = request.Plan,
        Versions = new Dictionary<string, string>
        {
            ["imbrex"] = request.ProgramVersion,
            ["libvips"] = FormattableString.Invariant($"{NetVips.NetVips.Version(0)}.{NetVips.NetVips.Version(1)}.{NetVips.NetVips.Version(2)}"),
        },
    };

    private MergeOptionsPart DescribeOptions(int levels)
    {
        (double tolerance, double angle) = Take.Tolerances(request);
        string[] left = [.. request.Plan.Tiles.Select(tile => tile.Id).Except(inputs.Sources.Select(source => source.Tile.Id))];
        return new()
        {
            ToleranceMm = tolerance,
            AngularToleranceDeg = angle,
            Orientation = request.Orientation.Count == 0 ? null : request.Orientation,
            BlendLevels = levels,
            MostBlendLevels = request.BlendLevels,
            Without = left.Length > 0 ? left : null,
            Holes = MergeWords.Of(request.Holes),
            Crop = MergeWords.Of(request.Crop),
            Series = MergeWords.Of(request.Series),
            SameExposure = request.SameExposure ? true : null,
        };
    }

    private static MosaicShadingPart DescribeShading(Evened evened) => evened.Fit.Shading is not { } shading
        ? new() { Model = "none" }
        : new()
        {
            Model = "sensor",
            Terms = SensorShading.Terms,
            R = shading.Coefficients[0],
            G = shading.Coefficients[1],
            B = shading.Coefficients[2],
            FStatistic = evened.Fit.ShadingF,
        };

    private MosaicTilePart DescribeTile(int i, Registered registered, Evened evened)
    {
        Placement p = registered.Placements[i];
        (double sigmaPx, double sigmaDeg) = registered.Sigma(i);
        (double scale, WarpPart? warp) = registered.Shape(i);
        return new()
        {
            Id = take.Frames[i].Id,
            File = Path.GetRelativePath(request.OutputFolder, inputs.Sources[i].Files[0].Path).Replace('\\', '/'),
            Sha256 = take.Files[i].Sha256,
            Series = take.Files[i].Series,
            XPx = p.X,
            YPx = p.Y,
            RotationDeg = Sdk.Geometry.Angles.Wrap(p.Angle * (180 / Math.PI) + 90 * take.Frames[i].Frame.QuarterTurns),
            Scale = scale,
            Warp = warp,
            StoredTurned = inputs.Sources[i].Files[0].Width == request.Plan.TheSensor().WidthPx ? null : true,
            Gain = evened.Gains[i],
            Glare = evened.Glare?[i],
            SigmaPx = sigmaPx,
            SigmaDeg = sigmaDeg,
        };
    }
}
