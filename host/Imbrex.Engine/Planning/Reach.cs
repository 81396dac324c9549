using Imbrex.Sdk.Adapters;

namespace Imbrex.Engine.Planning;

/// <summary>The rule of reach: every tile has a setting of the back.</summary>
internal static class Reach
{
    public const string Name = "reach";

    public static (RulePart Rule, IReadOnlyList<FailurePart> Failures) Judge(IReadOnlyList<PlacedTile> tiles, IBack? back)
    {
        if (back is null)
            return (new() { Rule = Name, Outcome = RulePart.Skipped, Text = "Not judged: only a sensor is known, not the back that carries it." }, []);
        FailurePart[] failures = [.. tiles.Select(tile => Failure(tile, back)).OfType<FailurePart>()];
        string text = failures.Length == 0
            ? "The back reaches every tile."
            : FormattableString.Invariant($"The back does not reach {failures.Length} of {tiles.Count} tiles.");
        return (new() { Rule = Name, Outcome = failures.Length == 0 ? RulePart.Passed : RulePart.Failed, Text = text }, failures);
    }

    private static FailurePart? Failure(PlacedTile tile, IBack back)
    {
        if (back.Solve(tile.Pose).Any(solution => solution.IsReached))
            return null;
        // Of all the ways that miss, the one that misses least is told: a half turn more would have served as well.
        SettingSolution nearest = PoseChoice.For(tile.Pose, back).OrderBy(way => way.Error).ThenBy(way => way.Reason!.Length).First();
        string where = FormattableString.Invariant($"({Lengths.Text(tile.Pose.Centre.X)}, {Lengths.Text(tile.Pose.Centre.Y)}) mm");
        return new() { Rule = Name, Text = $"Tile {tile.Id} at {where} is out of reach: {nearest.Reason}.", Tiles = [tile.Id] };
    }
}
