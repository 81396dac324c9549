namespace Imbrex.Engine.Optics;

/// <summary>
/// Distances and scale of a thin lens, and what its pull-out does to the light. Lengths in mm; object and image distance count from
/// the front and the rear principal plane. Source of all: the lens equation 1/f = 1/u + 1/v, any text of optics.
/// </summary>
public static class ThinLens
{
    /// <summary>Magnification m = f / (u - f): size in the image by size of the thing; 0 at infinity.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="objectDistance">u, mm, longer than f; positive infinity is allowed.</param>
    /// <exception cref="ArgumentOutOfRangeException">The thing is not beyond the front focal point.</exception>
    public static double Magnification(double focalLength, double objectDistance)
    {
        OpticsCheck.Positive(focalLength);
        return objectDistance > focalLength
            ? focalLength / (objectDistance - focalLength)
            : throw new ArgumentOutOfRangeException(nameof(objectDistance), objectDistance, "A thing must be farther away than the focal length.");
    }

    /// <summary>Object distance u = f (1 + 1/m), mm; positive infinity at m = 0.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    public static double ObjectDistance(double focalLength, double magnification) =>
        OpticsCheck.Positive(focalLength) * (1 + 1 / OpticsCheck.NotNegative(magnification));

    /// <summary>Image distance v = f (1 + m), mm.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    public static double ImageDistance(double focalLength, double magnification) =>
        OpticsCheck.Positive(focalLength) * (1 + OpticsCheck.NotNegative(magnification));

    /// <summary>Image distance v = f u / (u - f), mm, of a thing at a distance; f at infinity.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="objectDistance">u, mm, longer than f; positive infinity is allowed.</param>
    public static double ImageDistanceOf(double focalLength, double objectDistance) =>
        ImageDistance(focalLength, Magnification(focalLength, objectDistance));

    /// <summary>Working f-number N_w = N (1 + m / P), by which light and diffraction go.</summary>
    /// <param name="aperture">N as engraved, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    /// <param name="pupilMagnification">P, exit pupil by entrance pupil, above 0; 1 for symmetric lenses.</param>
    public static double WorkingAperture(double aperture, double magnification, double pupilMagnification = 1) =>
        OpticsCheck.Positive(aperture) * Pull(magnification, pupilMagnification);

    /// <summary>Exposure factor ("bellows factor") B = (1 + m / P)^2 by which an exposure metered at infinity is multiplied.</summary>
    /// <param name="magnification">m, at least 0.</param>
    /// <param name="pupilMagnification">P, above 0.</param>
    public static double BellowsFactor(double magnification, double pupilMagnification = 1) =>
        Math.Pow(Pull(magnification, pupilMagnification), 2);

    /// <summary>The exposure factor in stops, log2 B.</summary>
    /// <param name="magnification">m, at least 0.</param>
    /// <param name="pupilMagnification">P, above 0.</param>
    public static double BellowsStops(double magnification, double pupilMagnification = 1) =>
        Math.Log2(BellowsFactor(magnification, pupilMagnification));

    private static double Pull(double magnification, double pupilMagnification) =>
        1 + OpticsCheck.NotNegative(magnification) / OpticsCheck.Positive(pupilMagnification);
}
