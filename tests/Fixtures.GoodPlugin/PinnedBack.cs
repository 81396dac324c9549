using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>A back that holds the sensor in one place.</summary>
public sealed class PinnedBack : IAdapterGeometry
{
    public PartDescription Description { get; } = new("pinned", "Holds the sensor in one place");

    public IBack Build(BackSpec spec) => new Pinned();

    private sealed class Pinned : IBack
    {
        public BackLimits Limits { get; } = new(0, 0, 0, 0, [Turn.None]);
        public PlaneTolerance PositionTolerance => 0;
        public double AngularTolerance => 0;
        public LengthRange? AddedDepth => null;
        public PlaneSize? Opening => null;
        public IReadOnlyList<AxisSpec> Axes => [];

        public SensorPose Pose(Setting setting) => default;

        public IReadOnlyList<SettingSolution> Solve(SensorPose wanted) => [new(new([]), default, wanted.Centre.Length, wanted == default ? null : "It is pinned.")];

        public MoveCost Cost(Setting from, Setting to) => default;
    }
}
