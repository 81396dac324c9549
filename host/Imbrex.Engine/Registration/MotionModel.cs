namespace Imbrex.Engine.Registration;

/// <summary>The lens axis on the canvas and the canvas's scale.</summary>
/// <param name="X">Canvas column of the axis.</param>
/// <param name="Y">Canvas row of the axis.</param>
/// <param name="PxPerMm">Canvas pixels for each millimetre of the image plane.</param>
internal readonly record struct LensAxis(double X, double Y, double PxPerMm);

/// <summary>What may move beyond the shift and the rotation of each frame.</summary>
[Flags]
internal enum MotionTerms
{
    /// <summary>Shift and rotation of each frame.</summary>
    Rigid = 0,

    /// <summary>The sensor stands askew in the body, alike for all frames.</summary>
    SensorTilt = 1,

    /// <summary>The back sits askew, nearer or farther, when it is turned over.</summary>
    Seat = 2,

    /// <summary>Each frame has a scale of its own.</summary>
    Scale = 4,

    /// <summary>Each frame is bent in its own way.</summary>
    Projective = 8,
}

/// <summary>
/// The unknowns of all frames and how they place them. All unknowns count in pixels: each is what moves a frame's corner, or the picture's edge, by
/// about one.
/// </summary>
/// <remarks>
/// With the exit pupil on the axis at the distance D from the image plane, a sensor tilted by small angles about its centre T casts the offset d to
/// C + (T - C + R d) / (1 - p . d), with C the axis and p the slopes over D, in the body's frame (design, section 9). A plane tilted as a whole about the
/// axis casts q to C + (q - C) / (1 - p . (q - C)); one nearer to the lens scales about C. D need not be known.
/// </remarks>
internal sealed class MotionModel
{
    // Standard deviations before anything is measured: a degree of tilt 100 mm behind the pupil, a millimetre of depth there; per frame a
    // fifth of a per cent of size or shape. Weak, so that what the picture does not tell stays at nothing.
    private const double TiltPerMm = 1.75e-4, Depth = 0.01, Shape = 0.002;

    private readonly IReadOnlyList<PlacedFrame> _frames;
    private readonly LensAxis _axis;
    private readonly double _radius, _extent;
    private readonly bool _firstOver;

    public MotionModel(IReadOnlyList<PlacedFrame> frames, LensAxis axis, MotionTerms terms)
    {
        (_frames, _axis, Terms) = (frames, axis, terms);
        _radius = frames.Max(f => Math.Sqrt(f.Frame.CentreX * f.Frame.CentreX + f.Frame.CentreY * f.Frame.CentreY));
        _extent = frames.Max(f => Math.Sqrt(Math.Pow(f.Nominal.X - axis.X, 2) + Math.Pow(f.Nominal.Y - axis.Y, 2))) + _radius;
        _firstOver = frames[0].Body.BackTurned;
        Own = terms.HasFlag(MotionTerms.Projective) ? 8 : terms.HasFlag(MotionTerms.Scale) ? 4 : 3;
        Shared = (terms.HasFlag(MotionTerms.SensorTilt) ? 2 : 0) + (terms.HasFlag(MotionTerms.Seat) ? 3 : 0);
    }

    public MotionTerms Terms { get; }

    /// <summary>Unknowns of each frame; the first three are column, row and angle.</summary>
    public int Own { get; }

    /// <summary>Unknowns that all frames share; they come after those of the frames.</summary>
    public int Shared { get; }

    /// <summary>All unknowns.</summary>
    public int Count => _frames.Count * Own + Shared;

    /// <summary>Half diagonal of a frame: an angle counts by what it moves there.</summary>
    public double Radius => _radius;

    /// <summary>Place of a frame's first unknown.</summary>
    public int First(int frame) => frame * Own;

    /// <summary>Place of the first shared unknown.</summary>
    public int FirstShared => _frames.Count * Own;

    /// <summary>Unknowns of rigid placements.</summary>
    public double[] Start(IReadOnlyList<Placement> placements)
    {
        var unknowns = new double[Count];
        for (int i = 0; i < placements.Count; i++)
            (unknowns[First(i)], unknowns[First(i) + 1], unknowns[First(i) + 2]) = (placements[i].X, placements[i].Y, placements[i].Angle * _radius);
        return unknowns;
    }

    /// <summary>Where the unknowns put a frame.</summary>
    public Placement Place(int frame, ReadOnlySpan<double> unknowns)
    {
        ReadOnlySpan<double> own = unknowns.Slice(First(frame), Own), shared = unknowns[FirstShared..];
        var rigid = new Placement(own[0], own[1], own[2] / _radius, Bend(own));
        if (Shared == 0)
            return rigid;
        Homography map = Homography.Of(rigid);
        int at = 0;
        if (Terms.HasFlag(MotionTerms.SensorTilt))
        {
            (double sin, double cos) = Math.SinCos(_frames[frame].Body.TurnDeg * (Math.PI / 180));
            double unit = 1 / (_radius * _radius);
            (double px, double py) = (unit * (cos * shared[0] - sin * shared[1]), unit * (sin * shared[0] + cos * shared[1]));
            map = Tilted(map, own[0], own[1], px, py);
            at = 2;
        }
        if (Terms.HasFlag(MotionTerms.Seat) && _frames[frame].Body.BackTurned != _firstOver)
        {
            double unit = 1 / (_extent * _extent);
            map = Homography.OfTilt(_axis.X, _axis.Y, unit * shared[at], unit * shared[at + 1], shared[at + 2] / _extent).After(map);
        }
        return map.ToPlacement();
    }

    /// <summary>Standard deviation of an unknown before anything is measured, px; of shift and angle the caller knows.</summary>
    public double Deviation(int unknown, PlacementPrior prior)
    {
        if (unknown < FirstShared)
        {
            return (unknown % Own) switch
            {
                0 or 1 => prior.Pixels,
                2 => prior.Radians * _radius,
                _ => Shape * _radius,
            };
        }
        int at = unknown - FirstShared, seat = at - (Terms.HasFlag(MotionTerms.SensorTilt) ? 2 : 0);
        return seat switch
        {
            < 0 => TiltPerMm / _axis.PxPerMm * _radius * _radius,
            < 2 => TiltPerMm / _axis.PxPerMm * _extent * _extent,
            _ => Depth * _extent,
        };
    }

    /// <summary>What an unknown is before anything is measured.</summary>
    public double Expected(int unknown)
    {
        if (unknown >= FirstShared)
            return 0;
        Placement nominal = _frames[unknown / Own].Nominal;
        return (unknown % Own) switch
        {
            0 => nominal.X,
            1 => nominal.Y,
            2 => nominal.Angle * _radius,
            _ => 0,
        };
    }

    /// <summary>The slopes of the sensor over the pupil's distance in the body's frame, 1/mm.</summary>
    public (double X, double Y)? SensorTilt(ReadOnlySpan<double> unknowns)
    {
        double unit = _axis.PxPerMm / (_radius * _radius);
        return Terms.HasFlag(MotionTerms.SensorTilt) ? (unknowns[FirstShared] * unit, unknowns[FirstShared + 1] * unit) : null;
    }

    /// <summary>The slopes of the turned-over back over the pupil's distance, 1/mm, and the part by which it enlarges.</summary>
    public (double X, double Y, double Larger)? Seat(ReadOnlySpan<double> unknowns)
    {
        double unit = _axis.PxPerMm / (_extent * _extent);
        return Terms.HasFlag(MotionTerms.Seat) ? (unknowns[Count - 3] * unit, unknowns[Count - 2] * unit, unknowns[Count - 1] / _extent) : null;
    }

    private Warp Bend(ReadOnlySpan<double> own)
    {
        if (Own == 3)
            return default;
        double unit = 1 / _radius, size = own[3] * unit;
        if (Own == 4)
            return Warp.OfScale(1 + size);
        double stretch = own[4] * unit, shear = own[5] * unit;
        return new(size + stretch, shear, shear, size - stretch, own[6] * unit * unit, own[7] * unit * unit);
    }

    // C + (T - C + R d) / (1 - p . d), written over 1 - p . d, which leaves d = 0 where it is.
    private Homography Tilted(Homography map, double x, double y, double px, double py) => map with
    {
        Xx = map.Xx - _axis.X * px,
        Xy = map.Xy - _axis.X * py,
        Yx = map.Yx - _axis.Y * px,
        Yy = map.Yy - _axis.Y * py,
        Wx = map.Wx - px,
        Wy = map.Wy - py,
    };
}
