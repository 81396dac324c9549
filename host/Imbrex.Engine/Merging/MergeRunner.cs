using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Reporting;
using Imbrex.Engine.Seams;
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
        string mosaicFile = Path.Combine(request.OutputFolder, MosaicName), masterFile = Path.Combine(request.OutputFolder, MasterName);
        string reportFile = Path.Combine(request.OutputFolder, ReportName);
        var inputs = MergeInputs.Check(request, [mosaicFile, masterFile, reportFile]);

        using OutputFolder folder = OutputFolder.Open(request.OutputFolder);
        // Once more, now that no other run can be writing here.
        OutputFile.RefuseExisting(mosaicFile, request.Force);
        OutputFile.RequireRoom(request.OutputFolder, inputs.Bytes);
        using var scratch = new ScratchFolder(request.OutputFolder);
        using var take = new Take(request, inputs);
        var findings = new List<FindingPart>();
        GapFindings.AddMissing(findings, inputs.Tiles);
        LightFindings.AddProfile(inputs.Light, findings);
        Registered registered = Place(take, scratch, findings, clock, cancellation);
        Evened evened = clock.Run("evening light", _ => take.EvenLight(registered, cancellation));
        Highlights highlights = clock.Run("measuring highlights", _ => take.FindHighlights(evened, cancellation));
        IReadOnlyList<Evening> evenings = take.Evenings(evened, highlights);

        CanvasArea area = Crop.Area(request.Crop, new(0, 0, inputs.Format.Width, inputs.Format.Height), take.Frames, registered.Placements);
        Canvas canvas = inputs.Format.Part(area.X, area.Y, area.Width, area.Height);
        registered = registered.SeenFrom(area.X, area.Y);
        FoundSeams found = clock.Run("finding seams", part => take.FindSeams(scratch, canvas, registered, evenings, part, cancellation));
        GiveMemoryBack();
        SeamFindings.Add(found, take.Frames, findings);
        var seams = new SeamMap(take.Frames, registered.Placements, found);
        request.WhenSettled?.Invoke(new(seams, take.Frames, registered.Placements));
        long holes = clock.Run("looking for holes", _ => CanvasBlender.CountHoles(seams, canvas.Width, canvas.Height, request.Workers, cancellation));
        VerdictDocument verdict = Judge(request.Plan);
        if (!verdict.Accepted)
            findings.Add(new() { Kind = "plan", Text = $"The plan itself would not be accepted. {verdict.Summary}" });
        GapFindings.AddHoles(findings, holes, canvas, request);
        take.AddLightFindings(evened, highlights, findings);

        var picture = new TiffPicture { Width = canvas.Width, Height = canvas.Height, Bands = holes > 0 ? 4 : 3, IccProfile = inputs.Profile, PixelsPerMm = canvas.PxPerMm };
        using var master = new TiffWriter(masterFile, picture);
        var preview = new Preview(canvas.Width, canvas.Height, inputs.Profile);
        int levels = Math.Min(request.BlendLevels, registered.BlendLevels);
        clock.Run("blending", part =>
            CanvasBlender.Blend(seams, take.Samplers(registered, evenings), levels, canvas.Width, canvas.Height, picture.Bands, master, preview, request.Workers, part, cancellation));
        MosaicDocument mosaic = new MosaicRecord(request, inputs, take).Describe(canvas, registered, evened, highlights, findings, levels);
        OutputFile.TryDelete(mosaicFile);
        master.Complete();
        folder.Own(masterFile);
        byte[] jpeg = preview.ToJpeg();
        OutputFile.Write(reportFile, MergeReport.Render(mosaic, verdict, jpeg));
        folder.Own(reportFile);
        OutputFile.Write(mosaicFile, JsonDocuments.ToBytes(mosaic));
        folder.Keep();
        return new(mosaic, mosaicFile, masterFile, jpeg, clock.Stages);
    }

    private static Registered Place(Take take, ScratchFolder scratch, List<FindingPart> findings, StageClock clock, CancellationToken cancellation)
    {
        clock.Run("reading frames", part => take.Import(scratch, part, cancellation));
        if (take.HasKnownLight)
            clock.Run("reading flat fields", _ => take.ReadKnownLight(scratch, cancellation));
        clock.Run("orienting", _ => take.Orient(scratch, findings, cancellation));
        Registered registered = clock.Run("registering", part => take.Register(findings, part, cancellation));
        GiveMemoryBack();
        return registered;
    }

    // What the stages so far used is of no use to those that follow, and would stay beside what they need. It takes a few milliseconds.
    private static void GiveMemoryBack() => GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);

    /// <summary>What the rules say of a plan; what its back can reach was judged when it was planned.</summary>
    public static VerdictDocument Judge(PlanDocument plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        CheckRequest check = CheckRequest.For(plan, back: null);
        return AcceptanceCheck.Judge(plan.Kit is { } kit ? check with { Margins = Margins.Of(kit.Back) } : check);
    }
}
