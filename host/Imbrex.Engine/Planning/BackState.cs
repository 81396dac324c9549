using System.Numerics;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>How the back is seated and the body turned: what changes least often while a mosaic is shot.</summary>
internal readonly record struct BackState(bool BackTurned, Turn CameraTurn)
{
    /// <summary>All states, those of the upright back first.</summary>
    public static IReadOnlyList<BackState> All { get; } = [.. new[] { false, true }.SelectMany(turned => Turns.All.Select(turn => new BackState(turned, turn)))];

    public static BackState Of(Setting setting) => new(setting.BackTurned, setting.CameraTurn);

    /// <summary>
    /// The sets of states with which every tile can be shot with the fewest turns of the back, then of the camera. There are at most eight
    /// states, so all sets are tried. Within one seat each further camera turn is one change; between the seats there is one more unless
    /// both use a common turn.
    /// </summary>
    public static IReadOnlyList<IReadOnlyList<BackState>> FewestChanges(IReadOnlyList<IReadOnlyList<Setting>> tiles)
    {
        int[] needs = [.. tiles.Select(settings => settings.Aggregate(0, (mask, setting) => mask | 1 << Index(Of(setting)))).Distinct()];
        int used = needs.Aggregate(0, (all, need) => all | need);
        return Enumerable.Range(1, 255)
            .Where(set => (set & ~used) == 0 && needs.All(need => (need & set) != 0))
            .GroupBy(Changes)
            .MinBy(group => group.Key)!
            .OrderBy(set => BitOperations.PopCount((uint)set)).ThenBy(set => set)
            .Select(set => (IReadOnlyList<BackState>)[.. All.Where(state => (set & 1 << Index(state)) != 0)])
            .ToList();
    }

    private static (int BackTurns, int CameraTurns) Changes(int set)
    {
        (int upright, int turned) = (set & 0xF, set >> 4);
        int within = Math.Max(0, BitOperations.PopCount((uint)upright) - 1) + Math.Max(0, BitOperations.PopCount((uint)turned) - 1);
        bool both = upright != 0 && turned != 0;
        return (both ? 1 : 0, within + (both && (upright & turned) == 0 ? 1 : 0));
    }

    private static int Index(BackState state) => (state.BackTurned ? 4 : 0) + state.CameraTurn.Degrees() / 90;
}
