using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Seams;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>What goes into a merge, found and checked before anything is written.</summary>
/// <param name="Tiles">The tiles that are not left out, with their files, missing ones too.</param>
/// <param name="Sources">The tiles that were shot.</param>
/// <param name="Format">The canvas of the plan's format.</param>
/// <param name="Profile">The colour profile of all frames; empty for none.</param>
/// <param name="Light">How they encode light.</param>
/// <param name="Known">What is known of their light.</param>
internal sealed record MergeInputs(
    IReadOnlyList<TileFiles> Tiles, IReadOnlyList<TileSource> Sources, Canvas Format, byte[] Profile, FrameLight Light, KnownLight Known)
{
    /// <summary>Bytes that the merge will write, for the format; another crop may take more.</summary>
    public long Bytes => Frame.PlainBytes(Format.Width, Format.Height) + Sources.Sum(source => source.ScratchBytes);

    /// <summary>Finds and checks everything.</summary>
    /// <param name="request">What to merge.</param>
    /// <param name="outputs">Files that will be written.</param>
    /// <exception cref="InputException">Frames are not usable, or output exists.</exception>
    /// <exception cref="RefusalException">There are more tiles, or more pixels, than can be merged, or frames are missing and must not be.</exception>
    public static MergeInputs Check(MergeRequest request, IReadOnlyList<string> outputs)
    {
        RefuseUnknownTiles(request);
        IReadOnlyList<TileFiles> tiles = Matched(request);
        IReadOnlyList<TileFiles> shot = [.. tiles.Where(tile => tile.Paths.Count > 0)];
        if (shot.Count > SeamMap.MostFrames)
            throw new RefusalException($"The plan has {shot.Count} tiles; {SeamMap.MostFrames} is the most that is merged.", "$.tiles", "Merge the picture in parts.");
        var format = Canvas.Of(request.Plan);
        IReadOnlyList<string> originals = [.. tiles.SelectMany(tile => tile.Paths), .. request.Flats.Values, .. request.Dark is { } dark ? [dark] : (string[])[]];
        foreach (string output in outputs)
        {
            OutputFile.RefuseExisting(output, request.Force);
            KeepSafe(originals, output);
        }
        IReadOnlyList<TileSource> sources = [.. shot.Select(tile => TileSource.Open(tile, request))];
        byte[] profile = CommonProfile([.. sources.SelectMany(source => source.Files)]);
        return new(tiles, sources, format, profile, FrameLight.FromProfile(profile), KnownLight.Open(request));
    }

    private static IReadOnlyList<TileFiles> Matched(MergeRequest request)
    {
        if (request.Frames is { } given)
            return [.. request.Plan.Tiles.Where(tile => given.ContainsKey(tile.Id)).Select(tile => new TileFiles(tile, given[tile.Id], Unfound(tile, given[tile.Id])))];
        IReadOnlyList<TileFiles> tiles = FrameMatching.Match(request.Plan, request.FramesFolder, request.Matching);
        if (request.Holes == HoleRule.Refuse && tiles.FirstOrDefault(tile => tile.Missing.Count > 0) is { } missing)
        {
            throw new RefusalException($"The frame of tile {missing.Tile.Id} is missing: {missing.Missing[0]}", Path.Combine(request.FramesFolder, missing.Missing[0]),
                "Copy the frame there, correct its name in the plan, or merge without it with --holes transparent.");
        }
        return tiles;
    }

    // What the plan names for a tile and was not given.
    private static IReadOnlyList<string> Unfound(TilePart tile, IReadOnlyList<string> given) =>
        [.. (tile.NamedFiles ?? []).Where(name => !given.Any(path => path.Replace('\\', '/').EndsWith("/" + name, StringComparison.Ordinal)))];

    private static void RefuseUnknownTiles(MergeRequest request)
    {
        string? Unknown(IEnumerable<string> ids) => ids.FirstOrDefault(id => id.Length > 0 && request.Plan.Tiles.All(tile => tile.Id != id));
        if (Unknown(request.Orientation.Keys) is { } turned)
            throw new InputException($"There is no tile \"{turned}\" to impose an orientation on.", turned, "Name a tile of the plan.");
        if (Unknown(request.Matching.Without) is { } left)
            throw new InputException($"There is no tile \"{left}\" to leave out.", left, "Name a tile of the plan.");
    }

    // Originals are never touched, whatever they are called.
    private static void KeepSafe(IReadOnlyList<string> originals, string output)
    {
        if (originals.Any(original => string.Equals(Path.GetFullPath(original), Path.GetFullPath(output), StringComparison.OrdinalIgnoreCase)))
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
}
