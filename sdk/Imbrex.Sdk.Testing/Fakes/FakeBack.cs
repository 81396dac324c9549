using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>
/// A faultless back with a slide along x and one along y, for layouts that look at the back itself, and as an example that the conformance suite finds nothing wrong with. Each
/// position is the place of the sensor's centre.
/// </summary>
public sealed class FakeBack : IBack
{
    private readonly AxisSpec[] _axes;
    private readonly Turn[] _turns;

    /// <summary>Makes a back.</summary>
    /// <param name="across">Travel, detents and tolerance along x.</param>
    /// <param name="down">The same along y.</param>
    /// <param name="turns">The body's turns on offer; upright only where none is given.</param>
    public FakeBack(AxisSpec across, AxisSpec down, params IReadOnlyList<Turn> turns)
    {
        ArgumentNullException.ThrowIfNull(across);
        ArgumentNullException.ThrowIfNull(down);
        ArgumentNullException.ThrowIfNull(turns);
        (_axes, _turns) = ([across, down], turns.Count == 0 ? [Turn.None] : [.. turns]);
        Limits = new(across.Minimum, down.Minimum, across.Maximum, down.Maximum, Array.AsReadOnly(_turns));
        PositionTolerance = new(across.Tolerance, down.Tolerance);
    }

    /// <inheritdoc/>
    public BackLimits Limits { get; }

    /// <inheritdoc/>
    public PlaneTolerance PositionTolerance { get; }

    /// <inheritdoc/>
    public double AngularTolerance { get; init; }

    /// <inheritdoc/>
    public LengthRange? AddedDepth { get; init; }

    /// <inheritdoc/>
    public PlaneSize? Opening { get; init; }

    /// <inheritdoc/>
    public IReadOnlyList<AxisSpec> Axes => _axes;

    /// <inheritdoc/>
    public SensorPose Pose(Setting setting)
    {
        ArgumentNullException.ThrowIfNull(setting);
        return setting.Positions is [double x, double y]
            ? new(new(x, y), setting.CameraTurn)
            : throw new ArgumentException($"The setting has {setting.Positions.Count} positions, the back 2 axes.", nameof(setting));
    }

    /// <inheritdoc/>
    public IReadOnlyList<SettingSolution> Solve(SensorPose wanted)
    {
        double[] positions = [Nearest(_axes[0], wanted.Centre.X), Nearest(_axes[1], wanted.Centre.Y)];
        Turn turn = _turns.MinBy(turn => Math.Abs(Angles.Wrap(turn.Degrees() - wanted.TotalRotation)));
        var setting = new Setting(positions, turn);
        SensorPose pose = Pose(setting);
        double error = (pose.Centre - wanted.Centre).Length;
        string? reason = error > 1e-6 ? FormattableString.Invariant($"the nearest place is {error:0.###} mm away")
            : Math.Abs(Angles.Wrap(pose.TotalRotation - wanted.TotalRotation)) > 1e-6 ? "the body cannot be turned so"
            : null;
        return [new(setting, pose, error, reason)];
    }

    /// <inheritdoc/>
    public MoveCost Cost(Setting from, Setting to)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(to);
        return new(0, from.CameraTurn == to.CameraTurn ? 0 : 1, from.Positions.Zip(to.Positions, (a, b) => Math.Abs(a - b)).Sum());
    }

    private static double Nearest(AxisSpec axis, double position) =>
        axis.Detents.Count > 0 ? axis.Detents.MinBy(detent => Math.Abs(detent - position)) : Math.Clamp(position, axis.Minimum, axis.Maximum);
}
