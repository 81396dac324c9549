using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Engine.Planning;

/// <summary>A back on a camera that cannot turn it over: only its upright seat serves, and what the other would have reached is said.</summary>
internal sealed class UnturnableBack(IBack upright, IBack whole) : IBack
{
    public BackLimits Limits => upright.Limits;

    public PlaneTolerance PositionTolerance => upright.PositionTolerance;

    public double AngularTolerance => upright.AngularTolerance;

    public LengthRange? AddedDepth => upright.AddedDepth;

    public PlaneSize? Opening => upright.Opening;

    public IReadOnlyList<AxisSpec> Axes => upright.Axes;

    public SensorPose Pose(Setting setting) => upright.Pose(setting);

    public MoveCost Cost(Setting from, Setting to) => upright.Cost(from, to);

    public IReadOnlyList<SettingSolution> Solve(SensorPose wanted)
    {
        IReadOnlyList<SettingSolution> solutions = upright.Solve(wanted);
        bool wouldDo = PoseChoice.For(wanted, whole).Any(solution => solution.IsReached);
        return [.. solutions.Select(solution => solution.IsReached ? solution : solution with
        {
            Reason = solution.Reason + (wouldDo ? ", and this camera cannot turn its back over, which would reach it" : ", and this camera cannot turn its back over"),
        })];
    }
}
