using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The settings that put the sensor's rectangle where a layout wants it. A body turned by half a turn more covers the same rectangle, so
/// a layout that asks for level tiles is served as well by a back that is turned over.
/// </summary>
internal static class PoseChoice
{
    /// <summary>Settings for the wanted turn, then for half a turn more; reached ones first.</summary>
    public static IReadOnlyList<SettingSolution> For(SensorPose wanted, IBack back) =>
        [.. back.Solve(wanted).Concat(back.Solve(wanted with { Turn = wanted.Turn.Plus(Turn.Half) })).OrderByDescending(solution => solution.IsReached)];
}
