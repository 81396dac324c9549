using Imbrex.Engine.Documents;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>A tile with its name, its final pose and, once known, what to dial in for it.</summary>
public sealed record PlacedTile(string Id, SensorPose Pose, Setting? Setting = null)
{
    /// <summary>The tiles of a plan.</summary>
    public static IReadOnlyList<PlacedTile> Of(PlanDocument plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return [.. plan.Tiles.Select(tile => new PlacedTile(tile.Id, tile.ToPose(), tile.Setting?.ToSetting()))];
    }

    /// <summary>A layout's proposal with names: the author's own, and t1, t2, … for the rest.</summary>
    public static IReadOnlyList<PlacedTile> Named(IReadOnlyList<Tile> tiles)
    {
        ArgumentNullException.ThrowIfNull(tiles);
        var taken = tiles.Select(tile => tile.Id).OfType<string>().ToHashSet(StringComparer.Ordinal);
        int number = 0;
        return [.. tiles.Select(tile => new PlacedTile(tile.Id ?? Next(), tile.Pose))];

        string Next()
        {
            string id;
            do
                id = FormattableString.Invariant($"t{++number}");
            while (!taken.Add(id));
            return id;
        }
    }
}
