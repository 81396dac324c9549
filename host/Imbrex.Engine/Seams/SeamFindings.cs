using Imbrex.Engine.Documents;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Seams;

/// <summary>Says what moved, and which frames are softer than their neighbours.</summary>
internal static class SeamFindings
{
    /// <summary>Most moving things that are listed one by one, strongest first.</summary>
    private const int MostListed = 40;

    /// <summary>Adds the findings.</summary>
    public static void Add(FoundSeams found, IReadOnlyList<PlacedFrame> frames, List<FindingPart> findings)
    {
        findings.AddRange(found.Moving.Take(MostListed).Select(thing => Moving(thing, frames)));
        if (found.Moving.Count > MostListed)
            findings.Add(new() { Kind = "moving", Text = $"{found.Moving.Count - MostListed} more places, smaller or fainter, differ from frame to frame." });
        for (int i = 0; i < frames.Count; i++)
        {
            if (found.Sharpness[i].IsSoft)
                findings.Add(Soft(found.Sharpness[i], frames[i].Id));
        }
    }

    private static FindingPart Moving(MovingThing thing, IReadOnlyList<PlacedFrame> frames)
    {
        string tiles = string.Join(", ", thing.Frames.Select(i => frames[i].Id));
        return new()
        {
            Kind = "moving",
            Tile = frames[thing.Shown].Id,
            Box = [thing.Box.X, thing.Box.Y, thing.Box.Width, thing.Box.Height],
            Text = FormattableString.Invariant(
                $"Something moved at ({thing.Box.X}, {thing.Box.Y}), {thing.Box.Width} x {thing.Box.Height} px: tiles {tiles} differ by {100 * thing.Strength:0.#} % of the range; tile {frames[thing.Shown].Id} is shown."),
        };
    }

    private static FindingPart Soft(FrameSharpness sharpness, string tile)
    {
        string how = sharpness.IsDirectional ? "as if the camera shook" : "as if out of focus";
        return new()
        {
            Kind = "soft",
            Tile = tile,
            Text = FormattableString.Invariant(
                $"Tile {tile} is softer than its neighbours, {how}: it has {100 * sharpness.Relative:0} % of their fine detail ({100 * sharpness.Across:0} % across, {100 * sharpness.Down:0} % down)."),
        };
    }
}
