namespace Imbrex.Engine.Optics;

/// <summary>
/// From where to where a picture is sharp, mm. c is the circle of confusion, the largest blur on the image plane that passes for sharp.
/// Sources: Greenleaf, Photographic Optics, 1950 (exact forms, from memory); Merklinger, Focusing the View Camera, 1993 (tilt).
/// </summary>
public static class DepthOfField
{
    /// <summary>Hyperfocal distance H = f^2 / (N c) + f, mm: focused there, all beyond half of it is sharp.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="aperture">N, above 0.</param>
    /// <param name="circle">c, mm, above 0.</param>
    public static double Hyperfocal(double focalLength, double aperture, double circle) =>
        OpticsCheck.Positive(focalLength) * focalLength / (OpticsCheck.Positive(aperture) * OpticsCheck.Positive(circle)) + focalLength;

    /// <summary>Near limit u (H - f) / (H + u - 2 f), mm; H - f when focused at infinity.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="objectDistance">u, mm, longer than f; positive infinity is allowed.</param>
    /// <param name="hyperfocal">H, mm, longer than f.</param>
    public static double Near(double focalLength, double objectDistance, double hyperfocal)
    {
        RequireBeyond(focalLength, objectDistance);
        RequireBeyond(focalLength, hyperfocal);
        return double.IsPositiveInfinity(objectDistance)
            ? hyperfocal - focalLength
            : objectDistance * (hyperfocal - focalLength) / (hyperfocal + objectDistance - 2 * focalLength);
    }

    /// <summary>Far limit u (H - f) / (H - u), mm; positive infinity from the hyperfocal distance on.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="objectDistance">u, mm, longer than f; positive infinity is allowed.</param>
    /// <param name="hyperfocal">H, mm, longer than f.</param>
    public static double Far(double focalLength, double objectDistance, double hyperfocal)
    {
        RequireBeyond(focalLength, objectDistance);
        RequireBeyond(focalLength, hyperfocal);
        return objectDistance >= hyperfocal ? double.PositiveInfinity : objectDistance * (hyperfocal - focalLength) / (hyperfocal - objectDistance);
    }

    /// <summary>Depth of focus 2 N c (1 + m): the whole room for the sensor behind the lens, mm.</summary>
    /// <param name="aperture">N, above 0.</param>
    /// <param name="circle">c, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    public static double DepthOfFocus(double aperture, double circle, double magnification) =>
        2 * OpticsCheck.Positive(aperture) * OpticsCheck.Positive(circle) * (1 + OpticsCheck.NotNegative(magnification));

    /// <summary>Aperture N = dv / (2 c (1 + m)) that makes a focus spread dv sharp (view-camera practice, from memory).</summary>
    /// <param name="focusSpread">dv, distance between the sensor's places for the nearest and for the farthest thing, mm, at least 0.</param>
    /// <param name="circle">c, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    public static double ApertureForSpread(double focusSpread, double circle, double magnification) =>
        OpticsCheck.NotNegative(focusSpread) / (2 * OpticsCheck.Positive(circle) * (1 + OpticsCheck.NotNegative(magnification)));

    /// <summary>
    /// The working aperture that balances blur from depth, dv / (2 N), against diffraction, an Airy disc of 2.4393 lambda N, added in
    /// quadrature: N = sqrt(dv / (4.87868 lambda)) (principle: Hansma 1996; constant derived here and from memory).
    /// </summary>
    /// <param name="focusSpread">dv, mm, at least 0.</param>
    /// <param name="wavelength">lambda, mm, above 0.</param>
    public static double BalancedAperture(double focusSpread, double wavelength = Diffraction.GreenLight) =>
        Math.Sqrt(OpticsCheck.NotNegative(focusSpread) / (4 * Diffraction.AiryFactor * OpticsCheck.Positive(wavelength)));

    /// <summary>Distance J = f / sin(tilt) from lens to hinge line of a tilted lens, mm (Merklinger 1993; from memory).</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="tiltDeg">Tilt, degrees, above 0 and below 90.</param>
    public static double HingeDistance(double focalLength, double tiltDeg) =>
        OpticsCheck.Positive(focalLength) / Math.Sin(OpticsCheck.Between(tiltDeg, 0, 90) * Math.PI / 180);

    /// <summary>Tilt that puts the hinge line at a distance, degrees: asin(f / J).</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="hingeDistance">J, mm, at least f.</param>
    public static double TiltForHinge(double focalLength, double hingeDistance) => OpticsCheck.Positive(hingeDistance) >= OpticsCheck.Positive(focalLength)
        ? Math.Asin(focalLength / hingeDistance) * 180 / Math.PI
        : throw new ArgumentOutOfRangeException(nameof(hingeDistance), hingeDistance, "The hinge line lies at least a focal length away.");

    private static void RequireBeyond(double focalLength, double distance)
    {
        OpticsCheck.Positive(focalLength);
        if (!(distance > focalLength))
            throw new ArgumentOutOfRangeException(nameof(distance), distance, "The distance must be longer than the focal length.");
    }
}
