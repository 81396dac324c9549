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
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public static MergeResult Run(MergeRequest request, IProgress<StageProgress> progress, TimeProvider time, CancellationToken cancellation)
    {
        var clock = new StageClock(time, progress);
        IReadOnlyList<string> paths = FrameMatching.Match(request.Plan, request.FramesFolder, request.Order);
        if (paths.Count > SeamMap.MostFrames)
            throw new InputException($"The plan has {paths.Count} tiles; {SeamMap.MostFrames} is the most that is merged.", "$.tiles", "Merge the picture in parts.");
        Canvas canvas = Canvas.Of(request.Plan);
        string mosaicFile = Path.Combine(request.OutputFolder, MosaicName), masterFile = Path.Combine(request.OutputFolder, MasterName);
        OutputFile.RefuseExisting(mosaicFile, request.Force);
        OutputFile.RefuseExisting(masterFile, request.Force);
        IReadOnlyList<FrameFile> files = [.. paths.Select(FrameFile.Open)];
        int[] quarters = [.. files.Select((file, i) => QuarterTurns(request, file, request.Plan.Tiles[i]))];
        byte[] profile = CommonProfile(files);

        using OutputFolder folder = OutputFolder.Open(request.OutputFolder);
        OutputFile.RequireRoom(request.OutputFolder, (long)canvas.Width * canvas.Height * Frame.Bands * sizeof(ushort));
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
        int levels = Math.Min(request.BlendLevels, registered.BlendLevels);
        long holes = clock.Run("looking for holes", _ => CanvasBlender.CountHoles(seams, canvas.Width, canvas.Height, request.Workers, cancellation));
        VerdictDocument verdict = Judge(request.Plan);
        if (!verdict.Accepted)
            findings.Add(new() { Kind = "plan", Text = $"The plan itself would not be accepted. {verdict.Summary}" });
        AddHoleFinding(findings, holes, canvas);
        var picture = new TiffPicture
        {
            Width = canvas.Width,
            Height = canvas.Height,
            Bands = holes > 0 ? 4 : 3,
            IccProfile = profile,
            PixelsPerMm = canvas.PxPerMm,
        };
        using var master = new TiffWriter(masterFile, picture);
        IReadOnlyList<FrameSampler> samplers = [.. take.Frames.Select((f, i) => new FrameSampler(f.Frame, registered.Placements[i], light, evened.Gains[i]))];
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
        string reportFile = Path.Combine(request.OutputFolder, ReportName);
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
        return Imposed(tile.Id) ?? Imposed("") ?? rule;
        int? Imposed(string name) => request.Orientation.TryGetValue(name, out int degrees) ? degrees / 90 : null;
    }

    private static byte[] CommonProfile(IReadOnlyList<FrameFile> files)
    {
        FrameFile? other = files.FirstOrDefault(file => !file.IccProfile.AsSpan().SequenceEqual(files[0].IccProfile));
        return other is null
            ? files[0].IccProfile
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
