using Imbrex.Engine.Optics;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Simulation;

/// <summary>What is not perfect in a simulated kit. Everything is off by default; the same seed gives the same faults.</summary>
public sealed record CameraFaults
{
    public long Seed { get; init; }

    /// <summary>Standard deviation of a tile's position on each axis, mm on the image plane.</summary>
    public double PositionSdMm { get; init; }

    /// <summary>Largest error of position on each axis, mm.</summary>
    public double PositionMaxMm { get; init; } = double.PositiveInfinity;

    /// <summary>Standard deviation of a tile's rotation, degrees.</summary>
    public double RotationSdDeg { get; init; }

    /// <summary>Largest error of rotation, degrees.</summary>
    public double RotationMaxDeg { get; init; } = double.PositiveInfinity;

    /// <summary>Standard deviation of a tile's scale about 1: the sensor breathing to and from the lens along the axis of each tile.</summary>
    public double ScaleSd { get; init; }

    /// <summary>Sensor, seat and exit pupil, where the sensor does not lie in the image plane.</summary>
    public SensorStance Stance { get; init; } = new();

    /// <summary>Distance from the exit pupil to the image plane for the natural falloff, mm; infinite for none.</summary>
    public double ImageDistanceMm { get; init; } = double.PositiveInfinity;

    /// <summary>Foot of the perpendicular from the exit pupil on the image plane, mm: (shift, -rise) with movements of the lens.</summary>
    public PlanePoint PupilFoot { get; init; }

    /// <summary>The lens and the openings before the sensor, which take light from parts of each tile; null for none.</summary>
    public KitOptics? Openings { get; init; }

    /// <summary>Light lost in the sensor's corners in every frame alike, stops.</summary>
    public double ShadingStops { get; init; }

    /// <summary>Standard deviation of the colour cast that is fixed to the sensor, stops at its corners.</summary>
    public double CastSdStops { get; init; }

    /// <summary>Standard deviation of a frame's exposure, stops; the mean over all frames stays.</summary>
    public double GainSdStops { get; init; }

    /// <summary>Standard deviation of a frame's colour balance, stops in each channel.</summary>
    public double GainColourSdStops { get; init; }

    /// <summary>How much more light the last frame gets than the first, stops; it grows evenly along the shooting order and the mean stays.</summary>
    public double DriftStops { get; init; }

    /// <summary>How much warmer the light becomes along the shooting order: stops that red gains on blue from the first frame to the last.</summary>
    public double DriftColourStops { get; init; }

    /// <summary>
    /// Veiling glare in the outer tiles, as a part of the scene's mean light: the same amount on every pixel. The half of the tiles that is nearest to the lens
    /// axis (rounded up) has none.
    /// </summary>
    public double VeilingGlare { get; init; }

    /// <summary>Exposure common to all frames, stops; below 0 keeps bright parts from clipping when gains drift.</summary>
    public double ExposureStops { get; init; }

    /// <summary>Standard deviation of the read noise as a part of full light.</summary>
    public double ReadNoise { get; init; }

    /// <summary>Electrons of a pixel at full light, which set the shot noise; infinite for none.</summary>
    public double FullWell { get; init; } = double.PositiveInfinity;

    /// <summary>The one tile that is out of focus, or null.</summary>
    public string? DefocusedTile { get; init; }

    /// <summary>Standard deviation of its blur, px.</summary>
    public double DefocusPx { get; init; } = 2;

    /// <summary>The one tile during whose exposure the body moved, or null.</summary>
    public string? ShakenTile { get; init; }

    /// <summary>The way that it moved, evenly and centred on its place: px of its stored frame to the right.</summary>
    public double ShakeXPx { get; init; }

    /// <summary>See <see cref="ShakeXPx"/>; px down.</summary>
    public double ShakeYPx { get; init; }

    /// <summary>Several frames of each tile.</summary>
    public SeriesFaults Series { get; init; } = new();

    /// <summary>Who walks through the picture.</summary>
    public IReadOnlyList<Walker> Walkers { get; init; } = [];

    /// <summary>What the body does about orientation.</summary>
    public FileOrientation Orientation { get; init; }

    /// <summary>Refuses values that mean nothing.</summary>
    /// <exception cref="InputException">A value is negative or not a number, or a blur is out of range.</exception>
    internal void Validate()
    {
        Require(nameof(PositionSdMm), PositionSdMm, PositionSdMm >= 0 && double.IsFinite(PositionSdMm));
        Require(nameof(PositionMaxMm), PositionMaxMm, PositionMaxMm >= 0);
        Require(nameof(RotationSdDeg), RotationSdDeg, RotationSdDeg is >= 0 and <= 45);
        Require(nameof(RotationMaxDeg), RotationMaxDeg, RotationMaxDeg >= 0);
        Require(nameof(ScaleSd), ScaleSd, ScaleSd is >= 0 and <= 0.05);
        Stance.Validate();
        Require(nameof(ImageDistanceMm), ImageDistanceMm, ImageDistanceMm > 0);
        Require(nameof(ShadingStops), ShadingStops, ShadingStops is >= 0 and <= 3);
        Require(nameof(CastSdStops), CastSdStops, CastSdStops is >= 0 and <= 0.5);
        Require(nameof(GainSdStops), GainSdStops, GainSdStops is >= 0 and <= 3);
        Require(nameof(GainColourSdStops), GainColourSdStops, GainColourSdStops is >= 0 and <= 3);
        Require(nameof(DriftStops), DriftStops, Math.Abs(DriftStops) <= 10);
        Require(nameof(DriftColourStops), DriftColourStops, Math.Abs(DriftColourStops) <= 3);
        Require(nameof(VeilingGlare), VeilingGlare, VeilingGlare is >= 0 and <= 1);
        Require(nameof(ExposureStops), ExposureStops, Math.Abs(ExposureStops) <= 10);
        Require(nameof(ReadNoise), ReadNoise, ReadNoise is >= 0 and <= 1);
        Require(nameof(FullWell), FullWell, FullWell > 0);
        Require(nameof(DefocusPx), DefocusPx, DefocusPx is >= 0.3 and <= 32);
        Require(nameof(ShakeXPx), ShakeXPx, Math.Abs(ShakeXPx) <= 64);
        Require(nameof(ShakeYPx), ShakeYPx, Math.Abs(ShakeYPx) <= 64);
        Series.Validate();
        foreach (Walker walker in Walkers)
            walker.Validate(Series.Exposures);
    }

    internal static void Require(string name, double value, bool holds)
    {
        if (!holds)
            throw new InputException(FormattableString.Invariant($"The simulated camera's {name} is {value}."), name, "Choose a value within its range.");
    }
}

/// <summary>What a body or a raw developer does to say which way up a frame is.</summary>
public enum FileOrientation
{
    /// <summary>Pixels as they lie on the sensor; the tag says 1.</summary>
    Untagged,

    /// <summary>Pixels as they lie on the sensor; the tag tells the turn.</summary>
    Tagged,

    /// <summary>Pixels as they lie on the sensor; every frame carries the tag of the first one's turn.</summary>
    Stale,

    /// <summary>Frames of a body on its side are turned upright and the tag is reset.</summary>
    Baked,
}
