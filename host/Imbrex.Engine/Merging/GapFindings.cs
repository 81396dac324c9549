using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>Says what is not there: frames that are missing, and parts of the picture that no frame shows.</summary>
internal static class GapFindings
{
    /// <summary>Names the frames that are missing.</summary>
    public static void AddMissing(List<FindingPart> findings, IReadOnlyList<TileFiles> tiles)
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

    /// <summary>Says how much of the picture no frame shows.</summary>
    /// <exception cref="RefusalException">There are holes, and none may be.</exception>
    public static void AddHoles(List<FindingPart> findings, long holes, Canvas canvas, MergeRequest request)
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
