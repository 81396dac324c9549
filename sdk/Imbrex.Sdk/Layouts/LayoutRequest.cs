using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;

namespace Imbrex.Sdk.Layouts;

/// <summary>What a layout is asked for. All lengths are millimetres on the image plane.</summary>
public sealed record LayoutRequest
{
    /// <summary>Size of the sensor with the body upright.</summary>
    public required PlaneSize Sensor { get; init; }

    /// <summary>The rectangle that the finished mosaic must fill, centred on the origin.</summary>
    public required PlaneSize Format { get; init; }

    /// <summary>Required overlap d: every d x d window of the format must lie wholly in one usable tile.</summary>
    public required double Overlap { get; init; }

    /// <summary>How far the back may miss a position (t), along x and along y.</summary>
    public PlaneTolerance PositionTolerance { get; init; }

    /// <summary>How far the back may miss an angle, degrees (phi).</summary>
    public double AngularTolerance { get; init; }

    /// <summary>Where the back can put the sensor's centre.</summary>
    public BackLimits Limits { get; init; } = BackLimits.Unlimited;

    /// <summary>Values of the layout's own parameters.</summary>
    public ParameterValues Parameters { get; init; } = ParameterValues.None;

    /// <summary>The back itself and the rules, or null where the host offers neither (as to scripts).</summary>
    public ILayoutGuide? Guide { get; init; }

    /// <summary>
    /// The part of a tile at this turn that is certain whatever the back does: smaller than the sensor's w x h, as it
    /// stands at this turn, by t along x + (h/2) sin phi on its left and right and by t along y + (w/2) sin phi above and below.
    /// </summary>
    public PlaneSize UsableTile(Turn turn)
    {
        double sin = Angles.SinCosDegrees(AngularTolerance).Sin;
        PlaneSize whole = Sensor.Turned(turn);
        return new(whole.Width - 2 * PositionTolerance.X - whole.Height * sin, whole.Height - 2 * PositionTolerance.Y - whole.Width * sin);
    }
}
