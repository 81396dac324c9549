using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Fixtures;

/// <summary>A slide whose back does something wrong.</summary>
public abstract class Misbuilt(string name) : IAdapterGeometry
{
    public PartDescription Description { get; } = new(name, "A slide whose back does something wrong");

    public virtual IBack Build(BackSpec spec) => new Back();

    protected class Back : IBack
    {
        public virtual BackLimits Limits { get; } = new(-20, 0, 20, 0, [Turn.None]);
        public PlaneTolerance PositionTolerance => 0.1;
        public double AngularTolerance => 0.1;
        public LengthRange? AddedDepth => null;
        public PlaneSize? Opening => null;
        public virtual IReadOnlyList<AxisSpec> Axes { get; } = [new() { Minimum = -20, Maximum = 20 }];

        public virtual SensorPose Pose(Setting setting) => new(new(setting.Positions[0], 0));

        public virtual IReadOnlyList<SettingSolution> Solve(SensorPose wanted) =>
            [new(new([Math.Clamp(wanted.Centre.X, -20, 20)]), new(new(Math.Clamp(wanted.Centre.X, -20, 20), 0)), 0, Math.Abs(wanted.Centre.X) <= 20 ? null : "it ends there")];

        public virtual MoveCost Cost(Setting from, Setting to) => new(0, 0, Math.Abs(from.Positions[0] - to.Positions[0]));
    }
}

/// <summary>Builds for ever.</summary>
public sealed class HangingBuild() : Misbuilt("hanging-build")
{
    public override IBack Build(BackSpec spec)
    {
        Misdeeds.Hang("build");
        return new Back();
    }
}

/// <summary>Builds nothing.</summary>
public sealed class NoBack() : Misbuilt("no-back")
{
    public override IBack Build(BackSpec spec) => null!;
}

/// <summary>Builds a back without limits.</summary>
public sealed class NoLimits() : Misbuilt("no-limits")
{
    public override IBack Build(BackSpec spec) => new Unlimited();

    private sealed class Unlimited : Back
    {
        public override BackLimits Limits => null!;
    }
}

/// <summary>Builds a back with an axis that is none.</summary>
public sealed class NoAxis() : Misbuilt("no-axis")
{
    public override IBack Build(BackSpec spec) => new Axisless();

    private sealed class Axisless : Back
    {
        public override IReadOnlyList<AxisSpec> Axes => [null!];
    }
}

/// <summary>A property of its back hangs.</summary>
public sealed class HangingProperty() : Misbuilt("hanging-property")
{
    public override IBack Build(BackSpec spec) => new Slow();

    private sealed class Slow : Back
    {
        public override BackLimits Limits
        {
            get
            {
                Misdeeds.Hang("property");
                return base.Limits;
            }
        }
    }
}

/// <summary>A pose of its back never comes.</summary>
public sealed class HangingPose() : Misbuilt("hanging-pose")
{
    public override IBack Build(BackSpec spec) => new Slow();

    private sealed class Slow : Back
    {
        public override SensorPose Pose(Setting setting)
        {
            Misdeeds.Hang("pose");
            return base.Pose(setting);
        }
    }
}

/// <summary>A solution of its back never comes.</summary>
public sealed class HangingSolve() : Misbuilt("hanging-solve")
{
    public override IBack Build(BackSpec spec) => new Slow();

    private sealed class Slow : Back
    {
        public override IReadOnlyList<SettingSolution> Solve(SensorPose wanted)
        {
            Misdeeds.Count("hanging-solve");
            Misdeeds.Hang("solve");
            return base.Solve(wanted);
        }
    }
}

/// <summary>Solves nothing.</summary>
public sealed class NoSolution() : Misbuilt("no-solution")
{
    public override IBack Build(BackSpec spec) => new Unsolved();

    private sealed class Unsolved : Back
    {
        public override IReadOnlyList<SettingSolution> Solve(SensorPose wanted) => null!;
    }
}

/// <summary>Solves with a solution that is none.</summary>
public sealed class HollowSolution() : Misbuilt("hollow-solution")
{
    public override IBack Build(BackSpec spec) => new Hollow();

    private sealed class Hollow : Back
    {
        public override IReadOnlyList<SettingSolution> Solve(SensorPose wanted) => [new(null!, default, 0)];
    }
}

/// <summary>Its back throws.</summary>
public sealed class ThrowingPose() : Misbuilt("throwing-pose")
{
    public override IBack Build(BackSpec spec) => new Broken();

    private sealed class Broken : Back
    {
        public override SensorPose Pose(Setting setting) => throw new NotSupportedException("no pose today");
    }
}

/// <summary>The one that is sound.</summary>
public sealed class SoundSlide() : Misbuilt("sound-slide");
