using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>
/// What a point of the sensor sees of the exit pupil past the openings in between. The pupil is a disc, parallel to the sensor: a tilt of a few
/// degrees narrows it by less than half a percent, which is left out.
/// </summary>
/// <param name="Foot">Foot of the perpendicular from the pupil's centre on the image plane, mm.</param>
/// <param name="Distance">Z, from pupil to sensor, mm, above 0.</param>
/// <param name="WorkingAperture">N_w, above 0.</param>
public readonly record struct PupilView(PlanePoint Foot, double Distance, double WorkingAperture)
{
    // Strips of the pupil where several openings clip it. Tested: within 1e-4 of the exact area of one. They run aslant: a strip along the side of an opening would be
    // seen wholly or not at all, which is half a percent of the pupil.
    private const int Strips = 360;
    private const double StripAngle = 33.7;

    /// <summary>The view for a lens at a working aperture.</summary>
    public static PupilView Of(LensStance stance, double workingAperture) => new(stance.PupilFoot, stance.PupilDistance, OpticsCheck.Positive(workingAperture));

    /// <summary>
    /// The fraction of the pupil seen, 0 to 1. The cone of light to a point meets a stop that is t before the sensor in a disc of radius
    /// t / (2 N_w), whose centre lies t / Z of the way to the pupil's foot (derived here; checked against random rays). Exact where at most one
    /// stop clips; where several do, by strips.
    /// </summary>
    /// <param name="stops">The openings; those at the pupil or before it are not possible.</param>
    /// <param name="point">Place on the image plane, mm.</param>
    public double Fraction(IReadOnlyList<LightStop> stops, PlanePoint point)
    {
        LightStop? clipping = null;
        foreach (LightStop stop in stops)
        {
            if (Clears(stop, point))
                continue;
            if (clipping is not null)
                return Several(stops, point);
            clipping = stop;
        }
        return clipping is { } one ? One(one, point) : 1;
    }

    /// <summary>Whether a stop takes nothing of the cone of light to a point. The points that it clears form a convex set.</summary>
    internal bool Clears(LightStop stop, PlanePoint point)
    {
        double radius = ConeRadius(stop);
        PlanePoint centre = ConeCentre(stop, point);
        return stop.IsCircle
            ? centre.Length + radius <= stop.Size.Width / 2
            : Math.Abs(centre.X) + radius <= stop.Size.Width / 2 && Math.Abs(centre.Y) + radius <= stop.Size.Height / 2;
    }

    /// <summary>Radius at a stop of the cone of light to a point, mm.</summary>
    internal double ConeRadius(LightStop stop) => Math.Max(stop.ToSensor, 1e-6) / (2 * WorkingAperture);

    /// <summary>Where the middle of the cone to a point passes a stop, from the stop's centre and along its sides, mm.</summary>
    internal PlanePoint ConeCentre(LightStop stop, PlanePoint point)
    {
        PlanePoint passes = point + stop.ToSensor / Distance * (Foot - point);
        return (passes - stop.Centre).Rotated(-stop.Rotation);
    }

    private double One(LightStop stop, PlanePoint point)
    {
        double radius = ConeRadius(stop);
        return Math.Min(1, stop.Passed(radius, ConeCentre(stop, point)) / (Math.PI * radius * radius));
    }

    // The pupil in strips at the distance y = sin(a) from its middle, of width cos(a) da: on each, every convex opening leaves one stretch.
    private double Several(IReadOnlyList<LightStop> stops, PlanePoint point)
    {
        double area = 0;
        for (int i = 0; i < Strips; i++)
        {
            double angle = Math.PI * ((i + 0.5) / Strips - 0.5);
            (double y, double half) = Math.SinCos(angle);
            (double from, double to) = (-half, half);
            foreach (LightStop stop in stops)
            {
                double radius = ConeRadius(stop);
                PlanePoint along = new PlanePoint(1, 0).Rotated(StripAngle - stop.Rotation);
                PlanePoint start = ConeCentre(stop, point) + radius * y * new PlanePoint(-along.Y, along.X);
                (double a, double b) = stop.Chord(start, radius * along);
                (from, to) = (Math.Max(from, a), Math.Min(to, b));
            }
            area += Math.Max(0, to - from) * half;
        }
        return Math.Min(1, area / Strips);
    }
}
