using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Adapters;

/// <summary>A kind of back: maps settings to sensor poses. <see cref="Build"/> makes it concrete for one specimen.</summary>
/// <remarks>Implementations have a public constructor without parameters and keep no state.</remarks>
public interface IAdapterGeometry
{
    /// <summary>Name, summary and parameters.</summary>
    PartDescription Description { get; }

    /// <summary>Checks a specimen's data and makes its kinematics.</summary>
    /// <param name="spec">The back as it is in the kit.</param>
    /// <exception cref="InputException">An axis is missing or too many, or a value makes no sense for this geometry.</exception>
    IBack Build(BackSpec spec);
}

/// <summary>The kinematics of one back. Immutable and thread-safe.</summary>
public interface IBack
{
    /// <summary>Where the sensor's centre can go, for layouts.</summary>
    BackLimits Limits { get; }

    /// <summary>How far the sensor may be from where it should be, along x and along y of the image plane. Where both come of one pivot, the worst is given for both.</summary>
    PlaneTolerance PositionTolerance { get; }

    /// <summary>How far the sensor may be turned from where it should be, degrees.</summary>
    double AngularTolerance { get; }

    /// <summary>Depth that the back adds between the film datum and the body's mount, mm, a range where it can be set, or null if not known.</summary>
    LengthRange? AddedDepth { get; }

    /// <summary>The clear opening, mm, or null if not known.</summary>
    PlaneSize? Opening { get; }

    /// <summary>The axes, for the order of work and the back's own scales.</summary>
    IReadOnlyList<AxisSpec> Axes { get; }

    /// <summary>
    /// Forward kinematics: where the sensor stands at a setting. Defined between detents too: the host follows the sensor from stop to stop to see that
    /// nothing collides. A back that turns the sensor freely gives the nearest quarter as <see cref="SensorPose.Turn"/> and the rest as its rotation.
    /// </summary>
    /// <exception cref="ArgumentException">The setting has another number of axes than the back.</exception>
    SensorPose Pose(Setting setting);

    /// <summary>Inverse kinematics: the nearest settings to a wanted pose, at most one for each seat of the back, nearest first.</summary>
    /// <param name="wanted">The pose to reach.</param>
    /// <returns>At least one solution; an unreachable pose gives the nearest setting and the reason in words.</returns>
    IReadOnlyList<SettingSolution> Solve(SensorPose wanted);

    /// <summary>What it costs to go from one setting to another.</summary>
    MoveCost Cost(Setting from, Setting to);
}

/// <summary>A setting that comes nearest to a wanted pose.</summary>
/// <param name="Setting">The setting, within travel, detents and turns.</param>
/// <param name="Pose">The pose that it gives.</param>
/// <param name="Error">Distance between the wanted and the given centre, mm.</param>
/// <param name="Reason">Why the wanted pose is out of reach, in words, or null where it is reached.</param>
public sealed record SettingSolution(Setting Setting, SensorPose Pose, double Error, string? Reason = null)
{
    /// <summary>Whether the pose is reached.</summary>
    public bool IsReached => Reason is null;
}

/// <summary>The handling between two exposures; less is better, in this order.</summary>
/// <param name="BackTurns">Times the back is taken off and turned over.</param>
/// <param name="CameraTurns">Times the body is turned on the slide.</param>
/// <param name="Travel">Path of the slides, mm.</param>
public readonly record struct MoveCost(int BackTurns, int CameraTurns, double Travel) : IComparable<MoveCost>
{
    /// <summary>Handling of two moves together.</summary>
    public static MoveCost operator +(MoveCost a, MoveCost b) => new(a.BackTurns + b.BackTurns, a.CameraTurns + b.CameraTurns, a.Travel + b.Travel);

    /// <summary>Whether a is less handling than b.</summary>
    public static bool operator <(MoveCost a, MoveCost b) => a.CompareTo(b) < 0;

    /// <summary>Whether a is more handling than b.</summary>
    public static bool operator >(MoveCost a, MoveCost b) => a.CompareTo(b) > 0;

    /// <summary>Whether a is no more handling than b.</summary>
    public static bool operator <=(MoveCost a, MoveCost b) => a.CompareTo(b) <= 0;

    /// <summary>Whether a is no less handling than b.</summary>
    public static bool operator >=(MoveCost a, MoveCost b) => a.CompareTo(b) >= 0;

    /// <inheritdoc/>
    public int CompareTo(MoveCost other) => (BackTurns, CameraTurns, Travel).CompareTo((other.BackTurns, other.CameraTurns, other.Travel));
}
