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
        RefuseUnknownTiles(request);
        IReadOnlyList<TileFiles> tiles = Matched(request);
        IReadOnlyList<TileFiles> shot = [.. tiles.Where(tile => tile.Paths.Count > 0)];
        if (shot.Count > SeamMap.MostFrames)
            throw new RefusalException($"The plan has {shot.Count} tiles; {SeamMap.MostFrames} is the most that is merged.", "$.tiles", "Merge the picture in parts.");
        Canvas format = Canvas.Of(request.Plan);
        string mosaicFile = Path.Combine(request.OutputFolder, MosaicName), masterFile = Path.Combine(request.OutputFolder, MasterName);
        string reportFile = Path.Combine(request.OutputFolder, ReportName);
        foreach (string output in new[] { mosaicFile, masterFile, reportFile })
        {
            OutputFile.RefuseExisting(output, request.Force);
            KeepFramesSafe([.. tiles.SelectMany(tile => tile.Paths), .. request.Flats.Values, .. request.Dark is { } dark ? [dark] : (string[])[]], output);
        }
        IReadOnlyList<TileSource> sources = [.. shot.Select(tile => TileSource.Open(tile, request))];
        byte[] profile = CommonProfile([.. sources.SelectMany(source => source.Files)]);
        FrameLight light = FrameLight.FromProfile(profile);
        var known = KnownLight.Open(request);

        using OutputFolder folder = OutputFolder.Open(request.OutputFolder);
        // Once more, now that no other run can be writing here.
        OutputFile.RefuseExisting(mosaicFile, request.Force);
        OutputFile.RequireRoom(request.OutputFolder, Frame.PlainBytes(format.Width, format.Height) + sources.Sum(source => source.ScratchBytes));
        using var scratch = new ScratchFolder(request.OutputFolder);
        using var take = new Take(request, format, sources, light, known);
        var findings = new List<FindingPart>();
        AddMissingFindings(findings, tiles);
        clock.Run("reading frames", part => take.Import(scratch, part, cancellation));
        if (request.Flats.Count > 0 || request.Dark is not null)
        {
            clock.Run("reading flat fields", _ =>
            {
                known.Read(scratch, cancellation);
                return true;
            });
        }
        clock.Run("orienting", _ => take.Orient(findings, cancellation));
        Registered registered = clock.Run("registering", part => take.Register(findings, part, cancellation));
        if (light.IsAssumed)
            findings.Add(new() { Kind = "profile", Text = "The frames carry no colour profile with tone curves; sRGB was assumed for linear light." });
        Evened evened = clock.Run("evening light", _ => take.EvenLight(registered, cancellation));
        Highlights highlights = clock.Run("measuring highlights", _ => take.FindHighlights(evened, cancellation));

        CanvasArea area = Crop.Area(request.Crop, new(0, 0, format.Width, format.Height), take.Frames, registered.Placements);
        Canvas canvas = format.Part(area.X, area.Y, area.Width, area.Height);
        registered = registered.SeenFrom(area.X, area.Y);
        IReadOnlyList<Evening> evenings = take.Evenings(evened, highlights);
        FoundSeams found = clock.Run("finding seams", part => take.FindSeams(canvas, registered, evenings, part, cancellation));
        SeamFindings.Add(found, take.Frames, findings);
        var seams = new SeamMap(take.Frames, registered.Placements, found);
        request.WhenSettled?.Invoke(new(seams, take.Frames, registered.Placements));
        int levels = Math.Min(request.BlendLevels, registered.BlendLevels);
        long holes = clock.Run("looking for holes", _ => CanvasBlender.CountHoles(seams, canvas.Width, canvas.Height, request.Workers, cancellation));
        VerdictDocument verdict = Judge(request.Plan);
        if (!verdict.Accepted)
            findings.Add(new() { Kind = "plan", Text = $"The plan itself would not be accepted. {verdict.Summary}" });
        AddHoleFinding(findings, holes, canvas, request);
        take.AddExposureFindings(evened, findings);
        take.AddLightFindings(evened, highlights, findings);
        var picture = new TiffPicture
        {
            Width = canvas.Width,
            Height = canvas.Height,
            Bands = holes > 0 ? 4 : 3,
            IccProfile = profile,
            PixelsPerMm = canvas.PxPerMm,
        };
        using var master = new TiffWriter(masterFile, picture);
        IReadOnlyList<FrameSampler> samplers = take.Samplers(registered, evenings);
        clock.Run("blending", part =>
        {
            CanvasBlender.Blend(seams, samplers, levels, canvas.Width, canvas.Height, picture.Bands, master, request.Workers, part, cancellation);
            return true;
        });
        MosaicDocument mosaic = take.Describe(canvas, registered, evened, highlights, findings, levels);
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

    private static IReadOnlyList<TileFiles> Matched(MergeRequest request)
    {
        if (request.Frames is { } given)
            return [.. request.Plan.Tiles.Where(tile => given.ContainsKey(tile.Id)).Select(tile => new TileFiles(tile, given[tile.Id], []))];
        IReadOnlyList<TileFiles> tiles = FrameMatching.Match(request.Plan, request.FramesFolder, request.Matching);
        if (request.Holes == HoleRule.Refuse && tiles.FirstOrDefault(tile => tile.Missing.Count > 0) is { } missing)
        {
            throw new RefusalException($"The frame of tile {missing.Tile.Id} is missing: {missing.Missing[0]}", Path.Combine(request.FramesFolder, missing.Missing[0]),
                "Copy the frame there, correct its name in the plan, or merge without it with --holes transparent.");
        }
        return tiles;
    }

    private static void AddMissingFindings(List<FindingPart> findings, IReadOnlyList<TileFiles> tiles)
    {
        foreach (TileFiles tile in tiles.Where(tile => tile.Missing.Count > 0))
        {
            string names = string.Join(", ", tile.Missing);
            string text = tile.Paths.Count == 0
                ? $"The frame of tile {tile.Tile.Id} is missing ({names}); the picture was merged without it."
                : $"Of tile {tile.Tile.Id}'s frames some are missing ({names}); it was made of the other {tile.Paths.Count}.";
            findings.Add(new() { Kind = "missing", Tile = tile.Tile.Id, Text = text });
        }
    }

    private static void RefuseUnknownTiles(MergeRequest request)
    {
        string? Unknown(IEnumerable<string> ids) => ids.FirstOrDefault(id => id.Length > 0 && request.Plan.Tiles.All(tile => tile.Id != id));
        if (Unknown(request.Orientation.Keys) is { } turned)
            throw new InputException($"There is no tile \"{turned}\" to impose an orientation on.", turned, "Name a tile of the plan.");
        if (Unknown(request.Matching.Without) is { } left)
            throw new InputException($"There is no tile \"{left}\" to leave out.", left, "Name a tile of the plan.");
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

    private static void AddHoleFinding(List<FindingPart> findings, long holes, Canvas canvas, MergeRequest request)
    {
        if (holes == 0)
            return;
        double percent = 100.0 * holes / ((double)canvas.Width * canvas.Height);
        string what = FormattableString.Invariant($"{holes} px ({percent:0.###} % of the picture) are shown by no frame");
        if (request.Holes == HoleRule.Refuse)
            throw new RefusalException(what + ".", "--holes", "Shoot what is missing, cut the picture to what is full with --crop full, or let holes be with --holes transparent.");
        findings.Add(new() { Kind = "hole", Text = what + "; they are transparent in the master." });
    }
}
