namespace Imbrex.Engine.Documents;

/// <summary>What belongs to one picture and not to the kit: focus, movements, exposure, and what moves in the scene.</summary>
public sealed record PicturePart
{
    /// <summary>Distance of what is focused on, mm from the lens (its front principal plane); longer than the focal length. Without it and without a magnification: infinity.</summary>
    public double? FocusDistanceMm { get; init; }

    /// <summary>Instead of the distance: size in the image by size of the thing; 0 says infinity.</summary>
    public double? Magnification { get; init; }

    public MovementsPart? Movements { get; init; }

    /// <summary>The f-number as engraved on the lens.</summary>
    public double? Aperture { get; init; }

    /// <summary>Where a mount that slides is clamped: from the film datum to the mount, mm. Without it, the least depth that serves is found.</summary>
    public double? MountDepthMm { get; init; }

    /// <summary>How long the camera is left to come to rest before each exposure, seconds; without it, 5.</summary>
    public double? SettleSeconds { get; init; }

    /// <summary>Exposure as metered through the lens at this aperture and ISO, without filters, seconds.</summary>
    public double? Seconds { get; init; }

    /// <summary>Sensitivity, ISO.</summary>
    public double? Iso { get; init; }

    /// <summary>Filters on the lens, in words.</summary>
    public IReadOnlyList<string>? Filters { get; init; }

    /// <summary>The nearest thing that must be sharp, mm from the lens.</summary>
    public double? NearMm { get; init; }

    /// <summary>The farthest thing that must be sharp, mm; without it, infinity.</summary>
    public double? FarMm { get; init; }

    /// <summary>Largest blur on the sensor that passes for sharp, mm; without it, two pixels.</summary>
    public double? CircleOfConfusionMm { get; init; }

    /// <summary>Fraction of the light that the mount's throat and the back's opening must leave at the edge of what is used of a tile, 0.05 to 1; without it, 0.7.</summary>
    public double? LeastLight { get; init; }

    /// <summary>Part of the format's area that may lie outside the circle of light, percent; without it, none.</summary>
    public double? DarkCornersPercent { get; init; }

    /// <summary>Share of an exposure that a passing thing may take and still count as gone, above 0 and below 1; without it, 0.02.</summary>
    public double? GoneShare { get; init; }

    /// <summary>What moves in the scene.</summary>
    public IReadOnlyList<MoverPart>? Movers { get; init; }

    /// <summary>Checks a picture that does not come from a file.</summary>
    /// <param name="source">Where it comes from, for the message.</param>
    /// <exception cref="Sdk.InputException">A value makes no sense.</exception>
    public void ThrowIfFaulty(string source)
    {
        var check = new DocumentCheck(source);
        Validate(check, "picture");
        check.ThrowIfFaulty();
    }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Positive(FocusDistanceMm, path + ".focusDistanceMm");
        check.NotNegative(Magnification, path + ".magnification");
        check.Require(FocusDistanceMm is null || Magnification is null, path, "A picture has \"focusDistanceMm\" or \"magnification\", and never both.");
        Movements?.Validate(check, path + ".movements");
        foreach ((double? value, string name) in new[] { (Aperture, "aperture"), (Seconds, "seconds"), (Iso, "iso"), (NearMm, "nearMm"), (FarMm, "farMm"), (CircleOfConfusionMm, "circleOfConfusionMm") })
            check.Positive(value, $"{path}.{name}");
        check.NotNegative(MountDepthMm, path + ".mountDepthMm");
        check.NotNegative(SettleSeconds, path + ".settleSeconds");
        check.Require(!(FarMm < NearMm), path + ".farMm", "The farthest thing is nearer than the nearest.");
        check.Require(FarMm is null || NearMm is not null, path + ".farMm", "The farthest thing is given without the nearest: add nearMm.");
        check.Require(LeastLight is null or (>= 0.05 and <= 1), path + ".leastLight", "The fraction lies from 0.05 to 1.");
        check.Require(DarkCornersPercent is null or (>= 0 and <= 100), path + ".darkCornersPercent", "Percent lie from 0 to 100.");
        check.Require(GoneShare is null or (> 0 and < 1), path + ".goneShare", "The share lies above 0 and below 1.");
        check.Each(Filters, path + ".filters", (filter, at) => check.Require(filter.Trim().Length > 0, at, "The filter has no name."));
        check.Each(Movers, path + ".movers", (mover, at) => mover.Validate(check, at));
    }
}

/// <summary>Movements of the lens standard; for movements of the rear standard give the opposite.</summary>
public sealed record MovementsPart
{
    /// <summary>Rise of the lens, mm; negative for fall.</summary>
    public double? RiseMm { get; init; }

    /// <summary>Shift of the lens to the photographer's right, mm.</summary>
    public double? ShiftMm { get; init; }

    /// <summary>Tilt of the lens about its own centre, degrees; above 0 its top leans towards the scene.</summary>
    public double? TiltDeg { get; init; }

    /// <summary>Swing of the lens about its own centre, degrees clockwise seen from above; above 0 it looks to the right.</summary>
    public double? SwingDeg { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        foreach ((double? value, string name) in new[] { (TiltDeg, "tiltDeg"), (SwingDeg, "swingDeg") })
            check.Require(value is null or (> -45 and < 45), $"{path}.{name}", "A standard turns by less than 45 degrees either way.");
    }
}

/// <summary>Something that moves through the scene.</summary>
public sealed record MoverPart
{
    /// <summary>What it is, such as walkers.</summary>
    public required string Name { get; init; }

    /// <summary>Its width along its way, mm in the scene.</summary>
    public required double WidthMm { get; init; }

    /// <summary>Its speed, mm/s in the scene.</summary>
    public required double SpeedMmPerS { get; init; }

    /// <summary>How many pass any one point of the scene in a minute, as seen from the camera.</summary>
    public double? PerMinute { get; init; }

    /// <summary>Its distance from the lens, mm; without it, that of the focus.</summary>
    public double? DistanceMm { get; init; }

    /// <summary>Whether it sways about its place, as leaves do: it blurs and never vanishes.</summary>
    public bool? Sways { get; init; }

    internal void Validate(DocumentCheck check, string path)
    {
        check.Require(!string.IsNullOrWhiteSpace(Name), path + ".name", "What moves has no name.");
        check.Positive(WidthMm, path + ".widthMm");
        check.Positive(SpeedMmPerS, path + ".speedMmPerS");
        check.NotNegative(PerMinute, path + ".perMinute");
        check.Positive(DistanceMm, path + ".distanceMm");
    }
}
