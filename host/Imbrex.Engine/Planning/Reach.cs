using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

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
        IReadOnlyList<SettingSolution> solutions = back.Solve(tile.Pose);
        if (solutions.Any(solution => solution.IsReached))
            return null;
        string where = FormattableString.Invariant($"({Lengths.Text(tile.Pose.Centre.X)}, {Lengths.Text(tile.Pose.Centre.Y)}) mm");

        // A plan's turn is what the merge turns the frame by: it is not changed here, but half a turn more may be all that is needed.
        string otherwise = PoseChoice.For(tile.Pose, back)[0] is { IsReached: true } way
            ? FormattableString.Invariant($" (with turnDeg {PoseChoice.TurnOf(tile.Pose, way.Pose).Degrees()} it is within reach)")
            : "";
        return new() { Rule = Name, Text = $"Tile {tile.Id} at {where} is out of reach: {solutions[0].Reason}{otherwise}.", Tiles = [tile.Id] };
    }
}
