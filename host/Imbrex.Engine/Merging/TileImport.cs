using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Series;

namespace Imbrex.Engine.Merging;

/// <summary>Makes one readable frame of a tile's files: the file itself, or what a series gives.</summary>
internal static class TileImport
{
    /// <summary>Reads a tile in.</summary>
    /// <param name="source">The tile.</param>
    /// <param name="number">Its place in the plan, for the names of scratch files.</param>
    /// <param name="request">How a series becomes one frame, and at which scale.</param>
    /// <param name="light">The tone curves.</param>
    /// <param name="scratch">Receives what must be decoded.</param>
    /// <param name="cancellation">Cancels the work.</param>
    /// <returns>The frame, and what is to be told of a series.</returns>
    public static (Frame Frame, SeriesPart? Series) Import(TileSource source, int number, MergeRequest request, FrameLight light, ScratchFolder scratch,
        CancellationToken cancellation)
    {
        string combined = scratch.File($"frame-{number}.raw");
        if (source.Files.Count == 1)
            return (FrameImport.Import(source.Files[0], source.QuarterTurns, combined), null);
        var frames = new List<Frame>();
        try
        {
            for (int i = 0; i < source.Files.Count; i++)
                frames.Add(FrameImport.Import(source.Files[i], 0, scratch.File($"frame-{number}-{i}.raw")));
            FrameSeries series = FrameSeries.Align(frames, request.Plan.TheSensor().PxPerMm(), light, request.Series, cancellation);
            SeriesCombiner.Write(series, light, combined, cancellation);
            return (new Frame(combined, 0, frames[0].StoredWidth, frames[0].StoredHeight, source.QuarterTurns), Describe(series, source, request, cancellation));
        }
        finally
        {
            frames.ForEach(frame => frame.Dispose());
            for (int i = 0; i < source.Files.Count; i++)
                OutputFile.TryDelete(scratch.File($"frame-{number}-{i}.raw"));
        }
    }

    private static SeriesPart Describe(FrameSeries series, TileSource source, MergeRequest request, CancellationToken cancellation) => new()
    {
        Rule = MergeWords.Of(series.Rule),
        Frames =
        [
            .. source.Files.Select((file, i) => new SeriesFramePart
            {
                File = Path.GetRelativePath(request.OutputFolder, file.Path).Replace('\\', '/'),
                Sha256 = request.Accepted(file.Path, FileHash.Of(file.Path, cancellation), MergeWords.FrameOf(source.Tile.Id)),
                ShiftPx = series.Shift(i),
                Stops = series.Stops(i),
            }),
        ],
    };
}
