using Imbrex.Engine.Documents;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Clearance;

/// <summary>Where the parts of a kit stand, and how they move from one setting to another.</summary>
internal sealed class Stance(KitDocument kit, IBack back)
{
    // A motion that is neither straight nor about one point is followed in this many steps, each of which is.
    private const int Steps = 8;
    private const double Straight = 1e-7;

    private readonly Turn _first = Turns.FromDegrees(kit.Back.Turns is [{ Deg: var degrees }, ..] ? degrees : 0);
    private readonly PlanePoint _zero = Centre(kit, "upright");
    private readonly PlanePoint _seat = Centre(kit, "turned");

    /// <summary>Where a moving part stands at a setting.</summary>
    public Placed At(Holder holder, Setting setting)
    {
        if (holder == Holder.Body)
            return Placed.Of(back.Pose(setting));
        SensorPose carriage = back.Pose(setting with { CameraTurn = _first });
        return new(carriage.Centre, carriage.TotalRotation - _first.Degrees());
    }

    /// <summary>Where a standing part is, as an outline on the image plane.</summary>
    public NetTopologySuite.Geometries.Polygon Standing(Solid part, bool backTurned) => part.Holder == Holder.Camera
        ? part.Outline
        : Sweep.Map(part.Outline, point => backTurned ? 2 * _seat - (_zero + point) : _zero + point);

    /// <summary>How much deeper the back sits in a seat than where the film datum is counted from, mm.</summary>
    public double SeatDepth(bool backTurned) => Seat(kit, backTurned ? "turned" : "upright")?.DepthMm ?? 0;

    /// <summary>The motions of a part while one axis goes from its position in one setting to that in another.</summary>
    public IReadOnlyList<PlaneMotion> Along(Holder holder, Setting from, Setting to, int axis)
    {
        Placed[] places = [.. Enumerable.Range(0, Steps + 1).Select(step => At(holder, With(from, axis, Between(from.Positions[axis], to.Positions[axis], (double)step / Steps))))];
        PlaneMotion whole = PlaneMotion.Between(places[0], places[^1]);
        bool straight = whole.IsStraight && places.Select((place, step) => (place.Origin - whole.At(places[0].Origin, (double)step / Steps)).Length + Math.Abs(Angles.Wrap(place.Rotation - places[0].Rotation))).Max() < Straight;
        return straight ? [whole] : [.. places.Zip(places.Skip(1), PlaneMotion.Between)];
    }

    /// <summary>A setting with one axis elsewhere.</summary>
    public static Setting With(Setting setting, int axis, double position) => setting with { Positions = [.. setting.Positions.Select((known, i) => i == axis ? position : known)] };

    private static double Between(double from, double to, double part) => part >= 1 ? to : from + part * (to - from);

    private static PlanePoint Centre(KitDocument kit, string state) => Seat(kit, state)?.CentreMm is [double x, double y] ? new(x, y) : PlanePoint.Origin;

    private static SeatPart? Seat(KitDocument kit, string state) => kit.Back.Seats?.FirstOrDefault(seat => seat.State == state);
}
