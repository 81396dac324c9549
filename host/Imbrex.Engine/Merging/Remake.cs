using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>Makes a merge again from what its mosaic.json tells: the same plan, frames and options.</summary>
public static class Remake
{
    /// <summary>The request that makes a mosaic again.</summary>
    /// <param name="mosaicFile">Its mosaic.json.</param>
    /// <param name="outputFolder">Folder for the new result.</param>
    /// <exception cref="InputException">The document cannot be read, or a frame is missing; one that is no longer what it was is found when it is read.</exception>
    public static MergeRequest Of(string mosaicFile, string outputFolder)
    {
        MosaicDocument mosaic = JsonDocuments.Read<MosaicDocument>(mosaicFile, MosaicDocument.SchemaName);
        string folder = Path.GetDirectoryName(Path.GetFullPath(mosaicFile))!;
        MergeOptionsPart options = mosaic.Options;
        string[] missing = [.. (options.Without ?? []).Intersect(mosaic.Findings.Where(finding => finding.Kind == "missing").Select(finding => finding.Tile!))];
        var hashes = new Dictionary<string, string>(StringComparer.Ordinal);
        string There(string file, string sha256, string what)
        {
            string path = Path.GetFullPath(Path.Combine(folder, file));
            if (!File.Exists(path))
                throw new InputException($"{what} is no longer there: {file}", path, "Bring it back to where it was when the picture was merged.");
            hashes[path] = sha256;
            return path;
        }
        IReadOnlyList<string> Files(MosaicTilePart tile) => tile.Series is { } series
            ? [.. series.Frames.Select(frame => There(frame.File, frame.Sha256, MergeWords.FrameOf(tile.Id)))]
            : [There(tile.File, tile.Sha256, MergeWords.FrameOf(tile.Id))];
        Dictionary<string, IReadOnlyList<string>> frames = mosaic.Tiles.ToDictionary(tile => tile.Id, Files, StringComparer.Ordinal);
        foreach (string tile in missing)
            frames[tile] = [];
        return new()
        {
            Plan = mosaic.Plan,
            FramesFolder = folder,
            OutputFolder = outputFolder,
            Frames = frames,
            Matching = new() { Without = [.. (options.Without ?? []).Except(missing)] },
            ToleranceMm = options.ToleranceMm,
            AngularToleranceDeg = options.AngularToleranceDeg,
            Orientation = options.Orientation ?? new Dictionary<string, int>(),
            BlendLevels = options.MostBlendLevels,
            SameExposure = options.SameExposure == true,
            Falloff = MergeWords.Falloff(options.Falloff, "$.options.falloff"),
            ImageDistanceMm = options.ImageDistanceMm,
            Flats = (options.Flats ?? []).ToDictionary(flat => flat.Tile ?? "", flat => There(flat.File, flat.Sha256, MergeWords.FlatFrame), StringComparer.Ordinal),
            Dark = options.Dark is { } dark ? There(dark.File, dark.Sha256, MergeWords.DarkFrame) : null,
            Holes = MergeWords.Holes(options.Holes, "$.options.holes"),
            Crop = MergeWords.Crop(options.Crop, "$.options.crop"),
            Series = MergeWords.Series(options.Series, "$.options.series"),
            Hashes = hashes,
        };
    }
}
