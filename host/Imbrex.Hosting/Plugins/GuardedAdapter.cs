using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Hosting.Plugins;

/// <summary>A plugin's adapter geometry, with the backs it builds: failures carry its name.</summary>
internal sealed class GuardedAdapter(IAdapterGeometry adapter, PartDescription description, PluginFile plugin) : IAdapterGeometry
{
    private readonly PartGuard _guard = new(description.Name, plugin);

    public PartDescription Description => description;

    public IBack Build(BackSpec spec) => new GuardedBack(_guard.Call(() => adapter.Build(spec)), _guard);

    private sealed class GuardedBack(IBack back, PartGuard guard) : IBack
    {
        public BackLimits Limits { get; } = guard.Call(() => back.Limits);
        public PlaneTolerance PositionTolerance { get; } = guard.Call(() => back.PositionTolerance);
        public double AngularTolerance { get; } = guard.Call(() => back.AngularTolerance);
        public LengthRange? AddedDepth { get; } = guard.Read(() => back.AddedDepth);
        public PlaneSize? Opening { get; } = guard.Read(() => back.Opening);
        public IReadOnlyList<AxisSpec> Axes { get; } = guard.Call(() => back.Axes);

        // A setting with the wrong number of axes is the caller's fault, not the plugin's.
        public SensorPose Pose(Setting setting) => setting.Positions.Count == Axes.Count
            ? guard.Call(() => back.Pose(setting))
            : throw new ArgumentException($"The setting has {setting.Positions.Count} positions; the back has {Axes.Count} axes.", nameof(setting));

        public IReadOnlyList<SettingSolution> Solve(SensorPose wanted) => guard.Call(() => back.Solve(wanted));

        public MoveCost Cost(Setting from, Setting to) => guard.Call(() => back.Cost(from, to));
    }
}
