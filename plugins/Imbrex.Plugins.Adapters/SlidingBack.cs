using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;

namespace Imbrex.Plugins.Adapters;

/// <summary>
/// A body carried along x and y, which may be turned on the slide, on a back that may be turned over.
/// </summary>
/// <remarks>
/// Positions count from the upright seat's centre (the lens axis unless the kit says otherwise). A turn of the body moves the sensor by
/// the turn's offset and adds its error, before the back is turned over. Turning over is a half turn about the turned seat's centre c:
/// (x, y) goes to 2c - (x, y), and the body's turn gains 180 degrees and the seat's angle error.
/// </remarks>
internal sealed class SlidingBack : IBack
{
    // Equal to a setting's own pose but for rounding.
    private const double Rounding = 1e-6;

    private readonly BackSpec _spec;
    private readonly Slide[] _slides;
    private readonly PlanePoint _zero;

    public SlidingBack(BackSpec spec, Slide x, Slide y)
    {
        _spec = spec;
        _slides = [x, y];
        _zero = spec.Seats.FirstOrDefault(seat => !seat.BackTurned)?.Centre ?? PlanePoint.Origin;
        PositionTolerance = spec.Axes.Max(axis => axis.Tolerance);
        Limits = FindLimits();
    }

    public BackLimits Limits { get; }

    public double PositionTolerance { get; }

    public double AngularTolerance => _spec.AngularTolerance;

    public double? AddedDepth => _spec.DatumToMount;

    public PlaneSize? Opening => _spec.Opening;

    public IReadOnlyList<AxisSpec> Axes => _spec.Axes;

    public SensorPose Pose(Setting setting)
    {
        ArgumentNullException.ThrowIfNull(setting);
        if (setting.Positions.Count != Axes.Count)
            throw new ArgumentException($"The setting has {setting.Positions.Count} positions, the back {Axes.Count} axes.", nameof(setting));
        TurnSpec turn = _spec.Turns.FirstOrDefault(known => known.Turn == setting.CameraTurn)
            ?? throw new ArgumentException($"The back does not offer the turn of {setting.CameraTurn.Degrees()} degrees.", nameof(setting));
        SeatSpec seat = _spec.Seats.FirstOrDefault(known => known.BackTurned == setting.BackTurned)
            ?? throw new ArgumentException($"The back has no {(setting.BackTurned ? "turned" : "upright")} seat.", nameof(setting));
        return Pose(Place(setting.Positions), turn, seat);
    }

    public IReadOnlyList<SettingSolution> Solve(SensorPose wanted) =>
        [.. _spec.Seats.Select(seat => Solve(wanted, seat))
            .OrderByDescending(solution => solution.IsReached)
            .ThenByDescending(solution => solution.Pose.Turn == wanted.Turn)
            .ThenBy(solution => solution.Error)];

    public MoveCost Cost(Setting from, Setting to)
    {
        ArgumentNullException.ThrowIfNull(from);
        ArgumentNullException.ThrowIfNull(to);
        double travel = Axes.Select((axis, i) => Path(axis, from.Positions[i], to.Positions[i])).Sum();
        return new(from.BackTurned == to.BackTurned ? 0 : 1, from.CameraTurn == to.CameraTurn ? 0 : 1, travel);
    }

    private SettingSolution Solve(SensorPose wanted, SeatSpec seat)
    {
        TurnSpec turn = _spec.Turns.MinBy(turn => Math.Abs(Angles.Wrap(FinalAngle(turn, seat) - wanted.TotalRotation)))!;
        PlanePoint target = (seat.BackTurned ? 2 * seat.Centre - wanted.Centre : wanted.Centre) - _zero - turn.Offset;
        var place = new PlanePoint(_slides[0].Nearest(target.X), _slides[1].Nearest(target.Y));
        var setting = new Setting(Array.AsReadOnly([.. new[] { place.X, place.Y }.Where((_, i) => !_slides[i].IsFixed)]), turn.Turn, seat.BackTurned);
        SensorPose pose = Pose(place, turn, seat);
        double error = (pose.Centre - wanted.Centre).Length;
        return new(setting, pose, error, Reason(wanted, turn, seat, target, error));
    }

    // What this specimen's known faults and its play account for is no reason to refuse: the pose that it gives is the one then judged.
    private string? Reason(SensorPose wanted, TurnSpec turn, SeatSpec seat, PlanePoint target, double error)
    {
        double skew = Math.Abs(Angles.Wrap(FinalAngle(turn, seat) - wanted.TotalRotation));
        bool turned = skew <= Rounding + AngularTolerance + Math.Abs(turn.Error) + Math.Abs(seat.Angle);
        bool placed = error <= Rounding + Slack(turn, seat);
        if (turned && placed)
            return null;
        string[] missed = placed ? [] : [.. new[] { target.X, target.Y }
            .Select((position, i) => (slide: _slides[i], position))
            .Where(pair => Math.Abs(pair.slide.Nearest(pair.position) - pair.position) > Rounding)
            .Select(pair => pair.slide.Miss(pair.position))];
        string reason = string.Join(", ", turned ? missed : [TurnMiss(wanted, seat), .. missed]);
        return _spec.Seats.Count == 1 ? reason : $"with the back {(seat.BackTurned ? "turned over" : "upright")} {reason}";
    }

    private string TurnMiss(SensorPose wanted, SeatSpec seat)
    {
        double body = ((wanted.TotalRotation - (seat.BackTurned ? 180 : 0)) % 360 + 360) % 360;
        string offered = string.Join(", ", _spec.Turns.Select(turn => turn.Turn.Degrees()));
        return FormattableString.Invariant($"the body would have to be turned by {body:0.###} degrees and the back offers {offered}");
    }

    private double Slack(TurnSpec turn, SeatSpec seat) =>
        PositionTolerance + turn.Offset.Length + _zero.Length + (seat.BackTurned ? 2 * seat.Centre.Length : 0);

    private PlanePoint Place(IReadOnlyList<double> positions) =>
        new(positions[0], _slides[1].IsFixed ? _slides[1].First : positions[1]);

    private SensorPose Pose(PlanePoint place, TurnSpec turn, SeatSpec seat)
    {
        PlanePoint upright = _zero + place + turn.Offset;
        return new(
            seat.BackTurned ? 2 * seat.Centre - upright : upright,
            seat.BackTurned ? turn.Turn.Plus(Turn.Half) : turn.Turn,
            turn.Error + seat.Angle);
    }

    private static double FinalAngle(TurnSpec turn, SeatSpec seat) => turn.Turn.Degrees() + turn.Error + seat.Angle + (seat.BackTurned ? 180 : 0);

    // A stop that must be come to from the other side is overrun by the play and come back to.
    private static double Path(AxisSpec axis, double from, double to)
    {
        bool wrongSide = axis.Approach switch
        {
            Approach.Rising => to < from,
            Approach.Falling => to > from,
            _ => false,
        };
        return Math.Abs(to - from) + (wrongSide ? 2 * axis.Backlash : 0);
    }

    private BackLimits FindLimits()
    {
        var centres = (
            from seat in _spec.Seats
            from turn in _spec.Turns
            from x in new[] { _slides[0].First, _slides[0].Last }
            from y in new[] { _slides[1].First, _slides[1].Last }
            select (Pose(new(x, y), turn, seat).Centre, Slack: Slack(turn, seat))).ToList();
        var turns = _spec.Seats.SelectMany(seat => _spec.Turns.Select(turn => seat.BackTurned ? turn.Turn.Plus(Turn.Half) : turn.Turn));
        return new(
            centres.Min(c => c.Centre.X - c.Slack), centres.Min(c => c.Centre.Y - c.Slack),
            centres.Max(c => c.Centre.X + c.Slack), centres.Max(c => c.Centre.Y + c.Slack),
            Array.AsReadOnly([.. turns.Distinct().Order()]));
    }
}
