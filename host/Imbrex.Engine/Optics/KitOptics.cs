using Imbrex.Engine.Documents;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Optics;

/// <summary>Something that cannot be told because the kit or the picture does not say enough.</summary>
/// <param name="Fields">The members that are missing, such as <c>body.stops</c>.</param>
/// <param name="Text">What cannot be told without them.</param>
public sealed record MissingFact(IReadOnlyList<string> Fields, string Text);

/// <summary>The lens of a kit set up for one picture: what follows from both, and what had to be assumed. Lengths in mm.</summary>
public sealed class KitOptics
{
    private readonly KitDocument _kit;
    private readonly LightStop[] _fixedStops;

    private KitOptics(KitDocument kit, PicturePart picture, LensPart lens, double magnification)
    {
        (_kit, Picture, Lens, Magnification) = (kit, picture, lens, magnification);
        MovementsPart moved = picture.Movements ?? new();
        double f = lens.FocalLengthMm;
        double pupil = (lens.ExitPupilMm ?? f * PupilMagnification) + f * magnification;
        Stance = LensStance.Of(ThinLens.ImageDistance(f, magnification), pupil, moved.RiseMm ?? 0, moved.ShiftMm ?? 0, moved.TiltDeg ?? 0, moved.SwingDeg ?? 0);
        Aperture = picture.Aperture ?? lens.ImageCircleAperture;
        _fixedStops = [.. FixedStops()];
        foreach (LightStop stop in Stops(new(PlanePoint.Origin), backTurned: false))
            RequireBehindPupil(stop);
    }

    /// <summary>What is known of the picture; empty where nothing is.</summary>
    public PicturePart Picture { get; }

    /// <summary>The lens, with what its class says for what is not given.</summary>
    public LensPart Lens { get; }

    /// <summary>m; 0 at infinity.</summary>
    public double Magnification { get; }

    /// <summary>u; positive infinity at infinity.</summary>
    public double ObjectDistance => Picture.FocusDistanceMm ?? ThinLens.ObjectDistance(Lens.FocalLengthMm, Magnification);

    /// <summary>Where the lens stands.</summary>
    public LensStance Stance { get; }

    /// <summary>N of the picture, or else that at which the lens's circles are stated; null where neither is known.</summary>
    public double? Aperture { get; }

    /// <summary>N_w, or null.</summary>
    public double? WorkingAperture => Aperture is { } n ? ThinLens.WorkingAperture(n, Magnification, PupilMagnification) : null;

    /// <summary>P, 1 where it is not known.</summary>
    public double PupilMagnification => Lens.PupilMagnification ?? 1;

    /// <summary>c: what the picture says, or two pixels (common practice, no source).</summary>
    public double CircleOfConfusion => Picture.CircleOfConfusionMm ?? 2 / _kit.Body.PxPerMm();

    /// <summary>The fraction of light that must be left at the edge of what is used of a tile.</summary>
    public double LeastLight => Picture.LeastLight ?? UsableRegion.DefaultFraction;

    /// <summary>The pupil as the sensor sees it, or null where no aperture is known.</summary>
    public PupilView? View => WorkingAperture is { } n ? PupilView.Of(Stance, n) : null;

    /// <summary>The circle of light, or null where it is not known.</summary>
    public LightCircle? Light => Lens.LightCircleMm is { } d ? LightCircle.Of(Stance, d, Lens.FocalLengthMm) : null;

    /// <summary>The sharp circle, or null where it is not known.</summary>
    public LightCircle? Sharp => Lens.SharpCircleMm is { } d ? LightCircle.Of(Stance, d, Lens.FocalLengthMm) : null;

    /// <summary>From the film datum to the mount: what the picture says, or the least depth that lets the camera focus; null where it is not known.</summary>
    public double? MountDepth => _kit.Back.DatumToMountMm is not { } range ? null
        : Picture.MountDepthMm ?? Math.Clamp(LeastDepthForFocus ?? range.Least, range.Least, range.Most);

    /// <summary>How far the sensor lies behind the film, or null where a depth is not known.</summary>
    public double? SensorBehindFilm => MountDepth is { } datum && _kit is { Body.RegisterMm: { } register, Camera.FilmDepthMm: { } film }
        ? FocusReach.Depth(datum, register, film)
        : null;

    /// <summary>The lens of a kit; null where the kit has none.</summary>
    /// <param name="kit">A validated kit, or null.</param>
    /// <param name="picture">A validated picture, or null where nothing is said of it: infinity and no movements.</param>
    /// <exception cref="InputException">Nearer than the focal length, an aperture that the lens does not have, or a stop before the pupil.</exception>
    public static KitOptics? Of(KitDocument? kit, PicturePart? picture)
    {
        if (kit?.Lens is null)
            return null;
        LensPart lens = LensCatalogue.Complete(kit.Lens, out _);
        picture ??= new();
        if (picture.FocusDistanceMm is { } u && u <= lens.FocalLengthMm)
        {
            throw new InputException(FormattableString.Invariant($"The focus distance is {u} mm and the focal length {lens.FocalLengthMm} mm."), "focusDistanceMm",
                "Nothing nearer than the focal length can be focused: give a longer distance.");
        }
        if (picture.NearMm is { } near && near <= lens.FocalLengthMm)
            throw new InputException(FormattableString.Invariant($"The nearest sharp thing is {near} mm away and the focal length {lens.FocalLengthMm} mm."), "nearMm", "Give a longer distance.");
        if (picture.Aperture is { } n && lens.ApertureRange is [double widest, double smallest] && (n < widest || n > smallest))
            throw new InputException(FormattableString.Invariant($"The aperture is f/{n}; the lens has f/{widest} to f/{smallest}."), "aperture", "Choose one that the lens has, or correct lens.apertureRange.");
        double m = picture.Magnification ?? ThinLens.Magnification(lens.FocalLengthMm, picture.FocusDistanceMm ?? double.PositiveInfinity);
        return new(kit, picture, lens, m);
    }

    /// <summary>The same at another aperture.</summary>
    public KitOptics At(double aperture) => new(_kit, Picture with { Aperture = aperture }, Lens, Magnification);

    /// <summary>The openings before a tile: those of the body where the sensor stands, those of back and camera where they stay.</summary>
    /// <param name="pose">Where the sensor stands.</param>
    /// <param name="backTurned">Whether the back is turned over, which takes its opening half a turn about its seat.</param>
    public LightStop[] Stops(SensorPose pose, bool backTurned) =>
    [
        .. (_kit.Body.Stops ?? []).Where(stop => stop.MovesWith is null or "body").Select(stop => Stop(stop, pose.Centre, pose.TotalRotation, true)),
        .. _fixedStops.Select(stop => backTurned ? stop with { Centre = stop.Centre + TurnedOver } : stop),
    ];

    // A shallower mount would need the standards farther apart than they go.
    private double? LeastDepthForFocus => _kit is { Body.RegisterMm: { } register, Camera: { FilmDepthMm: { } film, BoardToFilmMaxMm: { } longest } } && Lens.FlangeFocalMm is { } flange
        ? flange + Lens.FocalLengthMm * Magnification - register + film - longest
        : null;

    private PlanePoint TurnedOver => _kit.Back.Seats?.FirstOrDefault(seat => seat.State == "turned")?.CentreMm is [double x, double y] ? new(2 * x, 2 * y) : PlanePoint.Origin;

    private IEnumerable<LightStop> FixedStops()
    {
        foreach (StopPart stop in _kit.Body.Stops ?? [])
        {
            if (stop.MovesWith is "back" or "camera")
                yield return Stop(stop, PlanePoint.Origin, 0, false);
        }
        if (_kit.Back is { OpeningMm: [double width, double height], OpeningToSensorMm: { } toSensor })
            yield return new(IsCircle: false, new(width, height), toSensor + (MountDepth - _kit.Back.DatumToMountMm?.Least ?? 0));
        if (_kit.Camera is { OpeningMm: [double w, double h], OpeningToFilmMm: { } toFilm } && SensorBehindFilm is { } behind && toFilm + behind >= 0)
            yield return new(IsCircle: false, new(w, h), toFilm + behind);
    }

    private static LightStop Stop(StopPart part, PlanePoint centre, double rotation, bool withBody)
    {
        bool circle = part.Shape == "circle";
        return new(circle, new(part.SizeMm[0], circle ? part.SizeMm[0] : part.SizeMm[1]), part.ToSensorMm, centre, circle ? 0 : rotation, withBody);
    }

    private void RequireBehindPupil(LightStop stop)
    {
        if (stop.ToSensor >= Stance.PupilDistance)
        {
            throw new InputException(FormattableString.Invariant($"An opening stands {stop.ToSensor} mm before the sensor, and the lens's exit pupil only {Stance.PupilDistance:0.##} mm."),
                "toSensorMm", "Correct the opening's distance, or lens.exitPupilMm.");
        }
    }
}
