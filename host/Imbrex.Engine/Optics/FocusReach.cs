namespace Imbrex.Engine.Optics;

/// <summary>
/// Whether a view camera can focus through a sliding back. The sensor lies behind the plane that the camera counts from, by the depth of back
/// and body less the depth at which film would have lain. Lengths in mm. Source: geometry; film depths after ANSI/PIMA IT3.108-1998 (see
/// <see cref="FilmDepth4x5"/>).
/// </summary>
/// <param name="FocalLength">f, above 0.</param>
/// <param name="FlangeFocal">From the lens board to the image of a thing at infinity, above 0.</param>
/// <param name="SensorBehindFilm">How far the sensor lies behind the plane of the film, or of the ground glass; negative where it lies before it.</param>
/// <param name="Shortest">Shortest distance from lens board to film plane that the camera allows.</param>
/// <param name="Longest">Longest.</param>
public readonly record struct FocusReach(double FocalLength, double FlangeFocal, double SensorBehindFilm, double Shortest, double Longest)
{
    /// <summary>
    /// Depth of the emulsion in a 4x5 inch holder, mm: 0.190 inch = 4.826 with film of 0.007 inch (ASA 1951, ANSI/PIMA IT3.108-1998, seen in two
    /// discussions that agree).
    /// </summary>
    public const double FilmDepth4x5 = 4.83;

    /// <summary>The same in a 5x7 inch holder, mm: 0.228 inch to the septum (the same source) less film of 0.007 inch, whose thickness in this size is from memory.</summary>
    public const double FilmDepth5x7 = 5.61;

    /// <summary>The same in an 8x10 inch holder, mm: 0.260 inch to the septum (the same source) less film of 0.007 inch, whose thickness in this size is from memory.</summary>
    public const double FilmDepth8x10 = 6.43;

    /// <summary>How far the sensor lies behind the film: datum to mount + register - film depth.</summary>
    /// <param name="datumToMount">From the seat of the holder to the body's mount, at least 0.</param>
    /// <param name="register">From the mount to the sensor, above 0.</param>
    /// <param name="filmDepth">From the seat to the emulsion, at least 0.</param>
    public static double Depth(double datumToMount, double register, double filmDepth = FilmDepth4x5) =>
        OpticsCheck.NotNegative(datumToMount) + OpticsCheck.Positive(register) - OpticsCheck.NotNegative(filmDepth);

    /// <summary>Lens board to film plane needed: flange focal length + f m - depth.</summary>
    /// <param name="magnification">m, at least 0.</param>
    public double Needed(double magnification) => FlangeFocal + FocalLength * OpticsCheck.NotNegative(magnification) - SensorBehindFilm;

    /// <summary>Whether the camera allows it.</summary>
    /// <param name="magnification">m, at least 0.</param>
    public bool Reaches(double magnification) => Needed(magnification) is var needed && needed >= Shortest && needed <= Longest;

    /// <summary>Magnification at the camera's shortest distance: 0 where infinity is reached. Infinite where not even the longest will do.</summary>
    public double SmallestMagnification => Math.Max(0, MagnificationAt(Shortest));

    /// <summary>Magnification at the longest distance; negative where even that is too short to focus at infinity.</summary>
    public double LargestMagnification => MagnificationAt(Longest);

    private double MagnificationAt(double boardToFilm) => (boardToFilm + SensorBehindFilm - FlangeFocal) / FocalLength;

    /// <summary>
    /// How far the plane on which the sensor slides may lean before its ends leave the depth of focus: atan(N c / half-width), degrees.
    /// </summary>
    /// <param name="workingAperture">N_w, above 0.</param>
    /// <param name="circle">c, the circle of confusion, mm, above 0.</param>
    /// <param name="halfWidth">From the middle to the end of the picture, mm, above 0.</param>
    public static double LargestLean(double workingAperture, double circle, double halfWidth) =>
        Math.Atan(OpticsCheck.Positive(workingAperture) * OpticsCheck.Positive(circle) / OpticsCheck.Positive(halfWidth)) * 180 / Math.PI;
}
