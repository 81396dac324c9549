using Imbrex.Engine.Documents;
using Imbrex.Sdk;

namespace Imbrex.Engine.Intake;

/// <summary>How frames are put in order where the plan does not name them.</summary>
public enum FrameOrder
{
    /// <summary>By file name, digits compared as numbers.</summary>
    ByName,

    /// <summary>By the time they were taken, as Exif tells it.</summary>
    ByTime,
}

/// <summary>What frames a folder holds for a plan.</summary>
public sealed record MatchRule
{
    /// <summary>How the folder's pictures are put in order where the plan names none.</summary>
    public FrameOrder Order { get; init; }

    /// <summary>Frames of each tile, taken one after another, where the plan names none.</summary>
    public int PerTile { get; init; } = 1;

    /// <summary>Tiles that were not shot, or whose frames are not to be used.</summary>
    public IReadOnlyCollection<string> Without { get; init; } = [];
}

/// <summary>A tile and the files that show it, in the order in which they were taken.</summary>
/// <param name="Tile">The tile.</param>
/// <param name="Paths">Its files; none where all that the plan names are missing.</param>
/// <param name="Missing">Names in the plan for which there is no file.</param>
public sealed record TileFiles(TilePart Tile, IReadOnlyList<string> Paths, IReadOnlyList<string> Missing);

/// <summary>Finds the frames of every tile: by the names in the plan, or by the order of the folder.</summary>
public static class FrameMatching
{
    private static readonly string[] Extensions = [".tif", ".tiff", ".jpg", ".jpeg", ".png"];

    /// <summary>The files of each tile that was shot, in the plan's order.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="folder">The frames folder.</param>
    /// <param name="rule">How frames and tiles belong together.</param>
    /// <exception cref="InputException">
    /// No named file is there, a time is not told, or the folder holds another number of pictures than the plan has tiles.
    /// </exception>
    public static IReadOnlyList<TileFiles> Match(PlanDocument plan, string folder, MatchRule? rule = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        rule ??= new();
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name the folder of the frames with --frames.");
        IReadOnlyList<TilePart> tiles = [.. plan.Tiles.Where(tile => !rule.Without.Contains(tile.Id))];
        if (tiles.Count == 0)
            throw new InputException("Every tile of the plan is left out.", "--without", "Leave fewer tiles out.");
        return plan.Tiles[0].NamedFiles is null ? MatchByOrder(tiles, folder, rule) : MatchByName(tiles, folder);
    }

    /// <summary>Pictures of a folder in natural order: ordinal, with runs of digits compared as numbers. Subfolders are not looked into.</summary>
    public static IReadOnlyList<string> Pictures(string folder) =>
    [
        .. Directory.EnumerateFiles(folder)
            .Where(path => Extensions.Contains(Path.GetExtension(path), StringComparer.OrdinalIgnoreCase) && !Path.GetFileName(path).StartsWith('.'))
            .OrderBy(path => Path.GetFileName(path), NaturalOrder.Instance),
    ];

    private static IReadOnlyList<TileFiles> MatchByName(IReadOnlyList<TilePart> tiles, string folder)
    {
        IReadOnlyList<TileFiles> matched = [.. tiles.Select(tile => Named(tile, folder))];
        if (matched.All(tile => tile.Paths.Count == 0))
        {
            throw new InputException($"None of the frames that the plan names is there; tile {tiles[0].Id}'s would be {matched[0].Missing[0]}.",
                Path.Combine(folder, matched[0].Missing[0]), "Name the folder of the frames with --frames, or correct the names in the plan.");
        }
        return matched;
    }

    private static TileFiles Named(TilePart tile, string folder)
    {
        ILookup<bool, string> names = tile.NamedFiles!.ToLookup(name => File.Exists(Path.Combine(folder, name)));
        return new(tile, [.. names[true].Select(name => Path.Combine(folder, name))], [.. names[false]]);
    }

    private static IReadOnlyList<TileFiles> MatchByOrder(IReadOnlyList<TilePart> tiles, string folder, MatchRule rule)
    {
        IReadOnlyList<string> files = Pictures(folder);
        if (files.Count != tiles.Count * rule.PerTile)
            throw WrongCount(tiles.Count, files, folder, rule);
        if (rule.Order == FrameOrder.ByTime)
            files = [.. files.Select(file => (file, time: CaptureTime.Of(file))).OrderBy(pair => pair.time).Select(pair => pair.file)];
        return [.. tiles.Select((tile, i) => new TileFiles(tile, [.. files.Skip(i * rule.PerTile).Take(rule.PerTile)], []))];
    }

    private static InputException WrongCount(int tiles, IReadOnlyList<string> files, string folder, MatchRule rule)
    {
        int wanted = tiles * rule.PerTile;
        string what = rule.PerTile == 1
            ? $"The plan has {tiles} tiles, but the folder holds {files.Count} pictures."
            : $"{tiles} tiles with {rule.PerTile} frames each are {wanted} pictures, but the folder holds {files.Count}.";
        string remedy = files.Count < wanted
            ? $"{wanted - files.Count} missing: add them, leave the tiles out that were not shot with --without TILE, or name each tile's frame with \"file\" in the plan."
            : "Move the pictures that do not belong to this take elsewhere, or name each tile's frame with \"file\" in the plan.";
        if (rule.PerTile == 1 && files.Count > tiles && files.Count % tiles == 0)
            remedy = $"If every tile was shot {files.Count / tiles} times, say --per-tile {files.Count / tiles}. Otherwise: {char.ToLowerInvariant(remedy[0])}{remedy[1..]}";
        IReadOnlyList<string> same = files.Count > wanted ? SameView.Among(files) : [];
        if (same.Count > 0)
            remedy = $"{string.Join("; ", same)}: {(same.Count == 1 ? "perhaps one of the two" : "perhaps one of each two")} is not wanted. {remedy}";
        return new InputException(what, folder, remedy);
    }
}
