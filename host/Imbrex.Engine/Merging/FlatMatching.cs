using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>Finds the flat frame of every tile.</summary>
public static class FlatMatching
{
    /// <summary>The flat frames by tile, or one for all tiles under the empty name.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="path">A picture, or a folder: of one picture for all tiles, of pictures named as the plan names the tiles' frames, or of as many as tiles, in the plan's order by name.</param>
    /// <param name="without">Tiles that are left out, which need none; null for none.</param>
    /// <exception cref="InputException">There is no such file or folder, or it holds another number of pictures.</exception>
    public static IReadOnlyDictionary<string, string> Match(PlanDocument plan, string path, IReadOnlyCollection<string>? without = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        if (File.Exists(path))
            return new Dictionary<string, string>(StringComparer.Ordinal) { [""] = path };
        if (!Directory.Exists(path))
            throw new InputException($"There is no file or folder {path}.", path, "Name a flat frame, or the folder of the flat frames, with --flat.");
        IReadOnlyList<string> pictures = FrameMatching.Pictures(path);
        if (pictures.Count == 1)
            return new Dictionary<string, string>(StringComparer.Ordinal) { [""] = pictures[0] };
        IReadOnlyList<TilePart> used = [.. plan.Tiles.Where(tile => without?.Contains(tile.Id) is not true)];
        if (used.All(tile => tile.File is { } file && File.Exists(Path.Combine(path, file))))
            return used.ToDictionary(tile => tile.Id, tile => Path.Combine(path, tile.File!), StringComparer.Ordinal);
        // Flat frames may have been shot for tiles that are left out as well.
        IReadOnlyList<TilePart> shot = pictures.Count == plan.Tiles.Count ? plan.Tiles : used;
        if (pictures.Count != shot.Count)
        {
            string tiles = used.Count == plan.Tiles.Count ? $"the plan has {used.Count} tiles" : $"of the plan's {plan.Tiles.Count} tiles {used.Count} are used";
            throw new InputException($"The folder holds {pictures.Count} pictures; {tiles}.", path,
                "Give one flat frame for all tiles, or one for each, named as the tiles' frames or in the plan's order.");
        }
        return shot.Zip(pictures).Where(pair => used.Contains(pair.First)).ToDictionary(pair => pair.First.Id, pair => pair.Second, StringComparer.Ordinal);
    }
}
