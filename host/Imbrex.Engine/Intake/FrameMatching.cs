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

/// <summary>Finds the frame of every tile: by the names in the plan, or by the order of the folder.</summary>
public static class FrameMatching
{
    private static readonly string[] Extensions = [".tif", ".tiff", ".jpg", ".jpeg", ".png"];

    /// <summary>The file of each tile, in the plan's order.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="folder">The frames folder.</param>
    /// <param name="order">How the folder's pictures are put in order where the plan names none.</param>
    /// <exception cref="InputException">A named file is missing, a time is not told, or the folder holds another number of pictures than the plan has tiles.</exception>
    public static IReadOnlyList<string> Match(PlanDocument plan, string folder, FrameOrder order = FrameOrder.ByName)
    {
        if (!Directory.Exists(folder))
            throw new InputException($"There is no folder {folder}.", folder, "Name the folder of the frames with --frames.");
        return plan.Tiles[0].File is null ? MatchByOrder(plan, folder, order) : MatchByName(plan, folder);
    }

    /// <summary>Pictures of a folder in natural order: ordinal, with runs of digits compared as numbers. Subfolders are not looked into.</summary>
    public static IReadOnlyList<string> Pictures(string folder) =>
    [
        .. Directory.EnumerateFiles(folder)
            .Where(path => Extensions.Contains(Path.GetExtension(path), StringComparer.OrdinalIgnoreCase) && !Path.GetFileName(path).StartsWith('.'))
            .OrderBy(path => Path.GetFileName(path), NaturalOrder.Instance),
    ];

    private static List<string> MatchByName(PlanDocument plan, string folder)
    {
        var files = new List<string>();
        foreach (TilePart tile in plan.Tiles)
        {
            string path = Path.Combine(folder, tile.File!);
            if (!File.Exists(path))
                throw new InputException($"The frame of tile {tile.Id} is missing: {tile.File}", path, "Copy the frame there, or correct its name in the plan.");
            files.Add(path);
        }
        return files;
    }

    private static IReadOnlyList<string> MatchByOrder(PlanDocument plan, string folder, FrameOrder order)
    {
        IReadOnlyList<string> files = Pictures(folder);
        if (files.Count == plan.Tiles.Count)
            return order == FrameOrder.ByTime ? [.. files.Select(file => (file, time: CaptureTime.Of(file))).OrderBy(pair => pair.time).Select(pair => pair.file)] : files;
        string what = $"The plan has {plan.Tiles.Count} tiles, but the folder holds {files.Count} pictures.";
        string remedy = files.Count < plan.Tiles.Count
            ? $"{plan.Tiles.Count - files.Count} missing: add them, or name each tile's frame with \"file\" in the plan."
            : "Move the pictures that do not belong to this take elsewhere, or name each tile's frame with \"file\" in the plan.";
        throw new InputException(what, folder, remedy);
    }
}
