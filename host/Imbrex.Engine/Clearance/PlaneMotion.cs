using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Clearance;

/// <summary>
/// A rigid motion in the image plane from one pose to another: straight, or about a point. Every rigid motion of the plane is one or the other
/// (Euler; Coxeter, Introduction to Geometry, section 3.1; from memory).
/// </summary>
/// <param name="From">Where it begins.</param>
/// <param name="Shift">Displacement of a straight motion.</param>
/// <param name="Centre">Centre of a turning motion.</param>
/// <param name="Degrees">How far it turns, clockwise; 0 for a straight motion.</param>
internal readonly record struct PlaneMotion(Placed From, PlanePoint Shift, PlanePoint Centre, double Degrees)
{
    // Less turning than this is none: at a metre it moves a point by less than the snap.
    private const double NoTurn = 5e-8;

    public bool IsStraight => Degrees == 0;

    /// <summary>The motion from one pose to another, the shorter way round.</summary>
    public static PlaneMotion Between(Placed from, Placed to)
    {
        double degrees = Angles.Wrap(to.Rotation - from.Rotation);
        PlanePoint shift = to.Origin - from.Origin;
        return Math.Abs(degrees) < NoTurn ? new(from, shift, default, 0) : new(from, default, FixedPoint(from.Origin, to.Origin, degrees), degrees);
    }

    /// <summary>The same turn the longer way round; null for a straight motion.</summary>
    public PlaneMotion? OtherWay => IsStraight ? null : this with { Degrees = Degrees > 0 ? Degrees - 360 : Degrees + 360 };

    /// <summary>Where a point that moves along stands at a part of the way, 0 to 1.</summary>
    public PlanePoint At(PlanePoint start, double part) => IsStraight ? start + part * Shift : Centre + (start - Centre).Rotated(part * Degrees);

    // The point that a turn by the angle leaves where it is: from the middle between a point and its image, square to their line, by half its length over tan(angle / 2).
    private static PlanePoint FixedPoint(PlanePoint a, PlanePoint b, double degrees)
    {
        PlanePoint way = b - a;
        double half = 0.5 / Math.Tan(degrees * Math.PI / 360);
        return 0.5 * (a + b) + half * new PlanePoint(-way.Y, way.X);
    }
}

/// <summary>Where something drawn about its own origin stands on the image plane.</summary>
/// <param name="Origin">Its origin, mm.</param>
/// <param name="Rotation">Degrees clockwise.</param>
internal readonly record struct Placed(PlanePoint Origin, double Rotation)
{
    public static Placed Of(SensorPose pose) => new(pose.Centre, pose.TotalRotation);

    public PlanePoint On(PlanePoint point) => Origin + point.Rotated(Rotation);
}
