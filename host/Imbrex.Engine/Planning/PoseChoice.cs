using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The settings that put the sensor's rectangle where a layout wants it. A body turned by half a turn more covers the same rectangle, so
/// a layout that asks for level tiles is served as well by a back that is turned over.
/// </summary>
internal static class PoseChoice
{
    /// <summary>Settings for the wanted turn and for half a turn more: reached ones first, then those that stand right but elsewhere.</summary>
    public static IReadOnlyList<SettingSolution> For(SensorPose wanted, IBack back) =>
        [.. new[] { wanted.Turn, wanted.Turn.Plus(Turn.Half) }
            .SelectMany(turn => back.Solve(wanted with { Turn = turn }).Select(solution => (solution, stands: Stands(wanted with { Turn = turn }, solution.Pose))))
            .OrderByDescending(way => way.solution.IsReached)
            .ThenByDescending(way => way.stands)
            .ThenBy(way => way.solution.IsReached ? 0 : way.solution.Error)
            .Select(way => way.solution)];

    /// <summary>The turn of the wanted rectangle as a pose shows it: its own, or half a turn more.</summary>
    public static Turn TurnOf(SensorPose wanted, SensorPose shown) => Stands(wanted, shown) ? wanted.Turn : wanted.Turn.Plus(Turn.Half);

    /// <summary>Whether a pose stands as wanted rather than upside down. Where the sensor turns freely the quarter alone does not tell.</summary>
    public static bool Stands(SensorPose wanted, SensorPose shown) => Math.Abs(Angles.Wrap(shown.TotalRotation - wanted.TotalRotation)) <= 90;
}
