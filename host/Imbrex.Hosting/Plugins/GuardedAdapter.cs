using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's adapter geometry, with the backs it builds: failures carry its name, and what it returns is looked at before it is used.</summary>
internal sealed class GuardedAdapter(IAdapterGeometry adapter, PartDescription description, PartGuard guard) : IAdapterGeometry
{
    public PartDescription Description => description;

    public IBack Build(BackSpec spec)
    {
        Facts facts = guard.Work<Facts>("Build", () => adapter.Build(spec) is { } back ? new(back) : null);
        if (facts.Lacks is { } lacks)
            throw guard.Failed($"Build returned a back without {lacks}.", null);
        return new GuardedBack(facts, guard);
    }

    /// <summary>Does work that asks backs of this geometry. A pose that never comes does not stop the program.</summary>
    public T Watch<T>(Func<T> work) => guard.Watch(work);

    // Read once, on the thread that may be left behind: a property can hang as well.
    private sealed class Facts(IBack back)
    {
        public IBack Back { get; } = back;
        public BackLimits? Limits { get; } = back.Limits;
        public PlaneTolerance PositionTolerance { get; } = back.PositionTolerance;
        public double AngularTolerance { get; } = back.AngularTolerance;
        public LengthRange? AddedDepth { get; } = back.AddedDepth;
        public PlaneSize? Opening { get; } = back.Opening;
        public IReadOnlyList<AxisSpec>? Axes { get; } = back.Axes?.ToArray();

        public string? Lacks => Limits is null ? "limits"
            : Limits.Turns is not { Count: > 0 } ? "turns in its limits"
            : Axes is null || Axes.Any(axis => axis is null) ? "axes"
            : !(PositionTolerance.X >= 0 && PositionTolerance.Y >= 0 && AngularTolerance >= 0) ? "tolerances"
            : null;
    }

    private sealed class GuardedBack(Facts facts, PartGuard guard) : IBack
    {
        private readonly IBack _back = facts.Back;

        public BackLimits Limits => facts.Limits!;
        public PlaneTolerance PositionTolerance => facts.PositionTolerance;
        public double AngularTolerance => facts.AngularTolerance;
        public LengthRange? AddedDepth => facts.AddedDepth;
        public PlaneSize? Opening => facts.Opening;
        public IReadOnlyList<AxisSpec> Axes => facts.Axes!;

        // A setting with the wrong number of axes is the caller's fault, not the plugin's.
        public SensorPose Pose(Setting setting)
        {
            if (setting.Positions.Count != Axes.Count)
                throw new ArgumentException($"The setting has {setting.Positions.Count} positions; the back has {Axes.Count} axes.", nameof(setting));
            SensorPose pose = guard.Quick("Pose", () => _back.Pose(setting));
            return IsFinite(pose) ? pose : throw guard.Failed("Pose returned no finite place.", null);
        }

        public IReadOnlyList<SettingSolution> Solve(SensorPose wanted)
        {
            SettingSolution[]? solutions = guard.Quick("Solve", () => _back.Solve(wanted)?.ToArray());
            if (solutions is not { Length: > 0 })
                throw guard.Failed("Solve returned nothing.", null);
            if (!Array.TrueForAll(solutions, solution => solution?.Setting?.Positions is { } positions && positions.Count == Axes.Count && IsFinite(solution.Pose)))
                throw guard.Failed("Solve returned a solution that is none.", null);
            return solutions;
        }

        public MoveCost Cost(Setting from, Setting to) => guard.Quick("Cost", () => _back.Cost(from, to));

        private static bool IsFinite(SensorPose pose) => double.IsFinite(pose.Centre.X) && double.IsFinite(pose.Centre.Y) && double.IsFinite(pose.Rotation);
    }
}
