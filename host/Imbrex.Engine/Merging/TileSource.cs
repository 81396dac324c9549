using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Sdk;

namespace Imbrex.Engine.Merging;

/// <summary>A tile of the take with its files, checked, and how they are turned.</summary>
/// <param name="Tile">The tile.</param>
/// <param name="Files">Its frames, one or a series.</param>
/// <param name="QuarterTurns">Quarter turns clockwise from stored to upright.</param>
internal sealed record TileSource(TilePart Tile, IReadOnlyList<FrameFile> Files, int QuarterTurns)
{
    /// <summary>Bytes of scratch that the tile takes at most: its pixels where they must be decoded, and its reduced picture, whose place its cells take later.</summary>
    public long ScratchBytes => Math.Max(StoredPyramid.BytesFor(Files[0].Width, Files[0].Height), CellPicture.BytesFor(Files[0].Width, Files[0].Height))
        + Files.Sum(FrameImport.ScratchBytes) + (Files.Count > 1 ? Frame.PlainBytes(Files[0].Width, Files[0].Height) : 0);

    /// <summary>Opens the files of a tile.</summary>
    /// <exception cref="InputException">A file is not a frame of this tile, or the frames of a series do not go together.</exception>
    public static TileSource Open(TileFiles tile, MergeRequest request)
    {
        IReadOnlyList<FrameFile> files = [.. tile.Paths.Select(FrameFile.Open)];
        FrameFile first = files[0];
        if (files.FirstOrDefault(file => (file.Width, file.Height) != (first.Width, first.Height)) is { } other)
        {
            throw new InputException(
                $"The frames of tile {tile.Tile.Id} differ: {Path.GetFileName(other.Path)} is {other.Width} x {other.Height} px, {Path.GetFileName(first.Path)} {first.Width} x {first.Height}.",
                other.Path, "Develop all frames of a tile with the same settings.");
        }
        return new(tile.Tile, files, TurnsOf(request, first, tile.Tile));
    }

    private static int TurnsOf(MergeRequest request, FrameFile file, TilePart tile)
    {
        int rule = file.QuarterTurns(request.Plan.TheSensor(), tile);
        if (!request.Orientation.TryGetValue(tile.Id, out int degrees) && !request.Orientation.TryGetValue("", out degrees))
            return rule;
        // A tile lies as the plan says; only which way up the file is can be imposed.
        bool isPossible = degrees == 90 * rule || degrees == (90 * rule + 180) % 360;
        return isPossible ? degrees / 90 : throw new InputException(
            $"The frame of tile {tile.Id} cannot be turned by {degrees} degrees: its sides allow {90 * (rule % 2)} or {90 * (rule % 2) + 180}.", file.Path,
            "Correct the imposed orientation, or the tile's turn in the plan.");
    }
}
