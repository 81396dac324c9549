using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Sdk.Adapters;

/// <summary>
/// The kinematics that all backs share: a body that may be turned on its carriage, on a back that may be turned over. Backs differ in their <see cref="Carriage"/> only. Immutable and
/// thread-safe where the carriage is.
/// </summary>
/// <remarks>
/// Positions count from the upright seat's centre (the lens axis unless the kit says otherwise). A turn of the body moves the sensor by
/// the turn's offset and adds its error, before the back is turned over. Turning over is a half turn about the turned seat's centre c:
/// (x, y) goes to 2c - (x, y), and the body's turn gains 180 degrees and the seat's angle error.
/// </remarks>
public sealed class SeatedBack : IBack
{
    /// <summary>Equal to a setting's own pose but for rounding, mm or degrees.</summary>
    public const double Rounding = 1e-6;

    // A turn's offset up to this is a fault of the specimen, which a layout need not know of; beyond, it is how the back is made. mm.
    private const double LargestFault = 1;

    private readonly BackSpec _spec;
    private readonly Carriage _carriage;
    private readonly PlanePoint _zero;

    /// <summary>Makes a back of a specimen and its carriage.</summary>
    /// <param name="spec">The specimen, as <see cref="BackSpec.Validate"/> lets it pass.</param>
    /// <param name="carriage">What carries the body.</param>
    public SeatedBack(BackSpec spec, Carriage carriage)
    {
        ArgumentNullException.ThrowIfNull(spec);
        ArgumentNullException.ThrowIfNull(carriage);
        (_spec, _carriage) = (spec, carriage);
        _zero = spec.Seats.FirstOrDefault(seat => !seat.BackTurned)?.Centre ?? PlanePoint.Origin;
        PositionTolerance = Tolerance(carriage.Tolerance, spec.Seats.Max(seat => seat.Tolerance));
        Limits = FindLimits();
    }

    /// <inheritdoc/>
    public BackLimits Limits { get; }

    /// <inheritdoc/>
    public PlaneTolerance PositionTolerance { get; }

    /// <inheritdoc/>
    public double AngularTolerance => _spec.AngularTolerance;

    /// <inheritdoc/>
    public LengthRange? AddedDepth => _spec.DatumToMount;

    /// <inheritdoc/>
    public PlaneSize? Opening => _spec.Opening;

    /// <inheritdoc/>
    public IReadOnlyList<AxisSpec> Axes => _spec.Axes;

    /// <inheritdoc/>
    public SensorPose Pose(Setting setting)
    {
        ArgumentNullException.ThrowIfNull(setting);
        if (setting.Positions.Count != Axes.Count)
            throw new ArgumentException($"The setting has {setting.Positions.Count} positions, the back {Axes.Count} axes.", nameof(setting));
        TurnSpec turn = _spec.Turns.FirstOrDefault(known => known.Turn == setting.CameraTurn)
            ?? throw new ArgumentException($"The back does not offer the turn of {setting.CameraTurn.Degrees()} degrees.", nameof(setting));
        SeatSpec seat = _spec.Seats.FirstOrDefault(known => known.BackTurned == setting.BackTurned)
            ?? throw new ArgumentException($"The back has no {(setting.BackTurned ? "turned" : "upright")} seat.", nameof(setting));
        return Pose(setting.Positions, turn, seat);
    }

    /// <inheritdoc/>
    public IReadOnlyList<SettingSolution> Solve(SensorPose wanted) =>
        [.. _spec.Seats.Select(seat => Solve(wanted, seat))
            .OrderByDescending(solution => solution.IsReached)
            .ThenByDescending(solution => Skew(solution.Pose, wanted) <= 90)
            .ThenBy(solution => solution.Error)];

    /// <inheritdoc/>
    public MoveCost Cost(Setting from, Setting to)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(to);
        double travel = Axes.Select((axis, i) => Path(i, axis, from.Positions[i], to.Positions[i])).Sum();
        return new(from.BackTurned == to.BackTurned ? 0 : 1, from.CameraTurn == to.CameraTurn ? 0 : 1, travel);
    }

    // The turn that stands most nearly as wanted, and with it the nearest place.
    private SettingSolution Solve(SensorPose wanted, SeatSpec seat)
    {
        PlanePoint target = (seat.BackTurned ? 2 * seat.Centre - wanted.Centre : wanted.Centre) - _zero;
        var (turn, positions, pose) = _spec.Turns.Select(turn =>
        {
            IReadOnlyList<double> positions = _carriage.Nearest(target, turn.Offset, wanted.TotalRotation - FinalAngle(turn, seat));
            return (turn, positions, pose: Pose(positions, turn, seat));
        }).MinBy(way => Skew(way.pose, wanted));
        double error = (pose.Centre - wanted.Centre).Length;
        var setting = new Setting(Array.AsReadOnly([.. positions]), turn.Turn, seat.BackTurned);
        return new(setting, pose, error, Reason(wanted, pose, turn, seat, target));
    }

    // What this specimen's known faults and its play account for is no reason to refuse: the pose that it gives is the one then judged.
    private string? Reason(SensorPose wanted, SensorPose pose, TurnSpec turn, SeatSpec seat, PlanePoint target)
    {
        bool turned = Skew(pose, wanted) <= Rounding + AngularTolerance + Math.Abs(turn.Error) + Math.Abs(seat.Angle);
        bool placed = (pose.Centre - wanted.Centre).Length <= Rounding + Slack(turn, seat);
        if (turned && placed)
            return null;
        IEnumerable<string> missed = placed ? [] : _carriage.Misses(target, turn.Offset);
        string reason = string.Join(", ", turned ? missed : [TurnMiss(wanted, pose, seat), .. missed]);
        return _spec.Seats.Count == 1 ? reason : $"with the back {(seat.BackTurned ? "turned over" : "upright")} {reason}";
    }

    private string TurnMiss(SensorPose wanted, SensorPose pose, SeatSpec seat)
    {
        if (_carriage.Rotations.Any(range => range != (0, 0)))
            return FormattableString.Invariant($"the sensor is turned by {pose.TotalRotation:0.###} degrees there and would have to be turned by {wanted.TotalRotation:0.###}");
        double body = ((wanted.TotalRotation - (seat.BackTurned ? 180 : 0)) % 360 + 360) % 360;
        string offered = string.Join(", ", _spec.Turns.Select(turn => turn.Turn.Degrees()));
        return FormattableString.Invariant($"the body would have to be turned by {body:0.###} degrees and the back offers {offered}");
    }

    // What the seat misses by comes on top of what an axis does. Where no axis moves the sensor the seat alone counts, and where nothing is known of it, as much as of the axis.
    private static PlaneTolerance Tolerance(CarriageTolerance axes, double? seat)
    {
        return new(Along(axes.X, axes.Y), Along(axes.Y, axes.X));

        double Along(double? axis, double? other) => axis is { } miss ? miss + (seat ?? 0) : seat ?? other ?? 0;
    }

    private double Slack(TurnSpec turn, SeatSpec seat) =>
        PositionTolerance.Worst + (turn.Offset.Length <= LargestFault ? turn.Offset.Length : 0) + _zero.Length + (seat.BackTurned ? 2 * seat.Centre.Length : 0);

    // A carriage that turns takes the sensor's whole rotation to the nearest quarter and a rest in (-45, 45], as the body's own sense of up does.
    private SensorPose Pose(IReadOnlyList<double> positions, TurnSpec turn, SeatSpec seat)
    {
        CarriagePose carriage = _carriage.Place(positions);
        PlanePoint upright = _zero + carriage.Carry(turn.Offset);
        double rest = carriage.Rotation + turn.Error + seat.Angle;
        int quarters = Quarters(rest);
        Turn body = seat.BackTurned ? turn.Turn.Plus(Turn.Half) : turn.Turn;
        return new(seat.BackTurned ? 2 * seat.Centre - upright : upright, body.Plus(Turns.FromDegrees(90 * quarters)), rest - 90 * quarters);
    }

    private static int Quarters(double degrees) => (int)Math.Ceiling(degrees / 90 - 0.5);

    private static double FinalAngle(TurnSpec turn, SeatSpec seat) => turn.Turn.Degrees() + turn.Error + seat.Angle + (seat.BackTurned ? 180 : 0);

    private static double Skew(SensorPose pose, SensorPose wanted) => Math.Abs(Angles.Wrap(pose.TotalRotation - wanted.TotalRotation));

    // A stop that must be come to from the other side is overrun by the play and come back to.
    private double Path(int i, AxisSpec axis, double from, double to)
    {
        bool wrongSide = axis.Approach switch
        {
            Approach.Rising => to < from,
            Approach.Falling => to > from,
            _ => false,
        };
        return Math.Abs(to - from) * _carriage.PathPerUnit(i) + (wrongSide ? 2 * axis.Backlash : 0);
    }

    private BackLimits FindLimits()
    {
        var states = _spec.Seats.SelectMany(seat => _spec.Turns.Select(turn => (seat, turn))).ToList();
        var centres = (
            from state in states
            from place in _carriage.Extremes(state.turn.Offset)
            let upright = _zero + place
            select (Centre: state.seat.BackTurned ? 2 * state.seat.Centre - upright : upright, Slack: Slack(state.turn, state.seat))).ToList();
        var turns =
            from state in states
            from range in _carriage.Rotations
            let faults = state.turn.Error + state.seat.Angle
            let first = Quarters(range.From + faults)
            from quarters in Enumerable.Range(first, Quarters(range.To + faults) - first + 1)
            select Turns.FromDegrees(state.turn.Turn.Degrees() + (state.seat.BackTurned ? 180 : 0) + 90 * quarters);
        return new(
            centres.Min(c => c.Centre.X - c.Slack), centres.Min(c => c.Centre.Y - c.Slack),
            centres.Max(c => c.Centre.X + c.Slack), centres.Max(c => c.Centre.Y + c.Slack),
            Array.AsReadOnly([.. turns.Distinct().Order()]));
    }
}
