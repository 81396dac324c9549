using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Reporting;
using Imbrex.Sdk;
using Imbrex.Sdk.Exports;

namespace Imbrex.Engine.Merging;

/// <summary>
/// Merges a take: frames are read in, oriented, placed, evened out and blended into the master. Nothing is left of a merge that fails
/// or is cancelled.
/// </summary>
public static class MergeRunner
{
    public const string MosaicName = "mosaic.json", MasterName = "master.tif", ReportName = "report.html";

    /// <summary>Runs a merge.</summary>
    /// <param name="request">What to merge.</param>
    /// <param name="progress">Receives the progress of every stage.</param>
    /// <param name="time">Clock for the stages' times; they go to the result only, never into a file.</param>
    /// <param name="cancellation">Cancels the merge.</param>
    /// <exception cref="InputException">Frames or output are not usable.</exception>
    /// <exception cref="RefusalException">The plan has more tiles, or its picture more pixels, than can be merged.</exception>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public static MergeResult Run(MergeRequest request, IProgress<StageProgress> progress, TimeProvider time, CancellationToken cancellation)
    {
        var clock = new StageClock(time, progress);
        IReadOnlyList<string> paths = FrameMatching.Match(request.Plan, request.FramesFolder, request.Order);
        if (paths.Count > SeamMap.MostFrames)
            throw new RefusalException($"The plan has {paths.Count} tiles; {SeamMap.MostFrames} is the most that is merged.", "$.tiles", "Merge the picture in parts.");
        RefuseUnknownTiles(request);
        Canvas canvas = Canvas.Of(request.Plan);
        string mosaicFile = Path.Combine(request.OutputFolder, MosaicName), masterFile = Path.Combine(request.OutputFolder, MasterName);
        string reportFile = Path.Combine(request.OutputFolder, ReportName);
        foreach (string output in new[] { mosaicFile, masterFile, reportFile })
        {
            OutputFile.RefuseExisting(output, request.Force);
            KeepFramesSafe(paths, output);
        }
        IReadOnlyList<FrameFile> files = [.. paths.Select(FrameFile.Open)];
        int[] quarters = [.. files.Select((file, i) => QuarterTurns(request, file, request.Plan.Tiles[i]))];
        byte[] profile = CommonProfile(files);

        using OutputFolder folder = OutputFolder.Open(request.OutputFolder);
        // Once more, now that no other run can be writing here.
        OutputFile.RefuseExisting(mosaicFile, request.Force);
        OutputFile.RequireRoom(request.OutputFolder, Frame.PlainBytes(canvas.Width, canvas.Height) + files.Sum(FrameImport.ScratchBytes));
        using var scratch = new ScratchFolder(request.OutputFolder);
        using var take = new Take(request, canvas, files, quarters);
        var findings = new List<FindingPart>();
        clock.Run("reading frames", part => take.Import(scratch, part, cancellation));
        clock.Run("orienting", _ => take.Orient(findings, cancellation));
        Registered registered = clock.Run("registering", part => take.Register(part, cancellation));
        FrameLight light = FrameLight.FromProfile(profile);
        if (light.IsAssumed)
            findings.Add(new() { Kind = "profile", Text = "The frames carry no colour profile with tone curves; sRGB was assumed for linear light." });
        Evened evened = clock.Run("evening light", _ => take.EvenLight(registered, light, cancellation));

        var seams = new SeamMap(take.Frames, registered.Placements);
        request.WhenSeamsAreKnown?.Invoke(seams);
        int levels = Math.Min(request.BlendLevels, registered.BlendLevels);
        long holes = clock.Run("looking for holes", _ => CanvasBlender.CountHoles(seams, canvas.Width, canvas.Height, request.Workers, cancellation));
        VerdictDocument verdict = Judge(request.Plan);
        if (!verdict.Accepted)
            findings.Add(new() { Kind = "plan", Text = $"The plan itself would not be accepted. {verdict.Summary}" });
        AddHoleFinding(findings, holes, canvas);
        take.AddShadingFinding(evened, findings);
        var picture = new TiffPicture
        {
            Width = canvas.Width,
            Height = canvas.Height,
            Bands = holes > 0 ? 4 : 3,
            IccProfile = profile,
            PixelsPerMm = canvas.PxPerMm,
        };
        using var master = new TiffWriter(masterFile, picture);
        IReadOnlyList<FrameSampler> samplers = take.Samplers(registered, evened, light);
        clock.Run("blending", part =>
        {
            CanvasBlender.Blend(seams, samplers, levels, canvas.Width, canvas.Height, picture.Bands, master, request.Workers, part, cancellation);
            return true;
        });
        registered.AddFindings(findings);
        MosaicDocument mosaic = take.Describe(registered, evened, findings, levels);
        OutputFile.TryDelete(mosaicFile);
        master.Complete();
        folder.Own(masterFile);
        OutputFile.Write(reportFile, MergeReport.Render(mosaic, verdict, masterFile));
        folder.Own(reportFile);
        OutputFile.Write(mosaicFile, JsonDocuments.ToBytes(mosaic));
        folder.Keep();
        return new(mosaic, mosaicFile, masterFile, clock.Stages);
    }

    /// <summary>What the rules say of a plan; what its back can reach was judged when it was planned.</summary>
    public static VerdictDocument Judge(PlanDocument plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        CheckRequest check = CheckRequest.For(plan, back: null);
        return AcceptanceCheck.Judge(plan.Kit is { } kit ? check with { Margins = Margins.Of(kit.Back) } : check);
    }

    private static int QuarterTurns(MergeRequest request, FrameFile file, TilePart tile)
    {
        int rule = file.QuarterTurns(request.Plan.TheSensor(), tile);
        if (!request.Orientation.TryGetValue(tile.Id, out int degrees) && !request.Orientation.TryGetValue("", out degrees))
            return rule;
        // A tile lies as the plan says; only which way up the file is can be imposed.
        bool isPossible = degrees == 90 * rule || degrees == (90 * rule + 180) % 360;
        return isPossible ? degrees / 90 : throw new InputException(
            $"The frame of tile {tile.Id} cannot be turned by {degrees} degrees: its sides allow {90 * (rule % 2)} or {90 * (rule % 2) + 180}.", file.Path,
            "Correct the imposed orientation, or the tile's turn in the plan.");
    }

    private static void RefuseUnknownTiles(MergeRequest request)
    {
        string? unknown = request.Orientation.Keys.FirstOrDefault(id => id.Length > 0 && request.Plan.Tiles.All(tile => tile.Id != id));
        if (unknown is not null)
            throw new InputException($"There is no tile \"{unknown}\" to impose an orientation on.", unknown, "Name a tile of the plan.");
    }

    // Originals are never touched, whatever they are called.
    private static void KeepFramesSafe(IReadOnlyList<string> frames, string output)
    {
        if (frames.Any(frame => string.Equals(Path.GetFullPath(frame), Path.GetFullPath(output), StringComparison.OrdinalIgnoreCase)))
            throw new InputException($"{output} is one of the frames and would be replaced by the result.", output, "Choose another output folder.");
    }

    private static byte[] CommonProfile(IReadOnlyList<FrameFile> files)
    {
        FrameFile? other = files.FirstOrDefault(file => !file.IccProfile.AsSpan().SequenceEqual(files[0].IccProfile));
        // The master is RGB: the profile of grey frames would not fit it.
        return other is null
            ? IccCurves.IsRgb(files[0].IccProfile) ? files[0].IccProfile : []
            : throw new InputException($"{Path.GetFileName(other.Path)} carries another colour profile than {Path.GetFileName(files[0].Path)}.", other.Path,
                "Develop all frames of a take with the same settings and colour space.");
    }

    private static void AddHoleFinding(List<FindingPart> findings, long holes, Canvas canvas)
    {
        if (holes == 0)
            return;
        double percent = 100.0 * holes / ((double)canvas.Width * canvas.Height);
        findings.Add(new()
        {
            Kind = "hole",
            Text = FormattableString.Invariant($"{holes} px ({percent:0.###} % of the format) are shown by no frame; they are transparent in the master."),
        });
    }
}
