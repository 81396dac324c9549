namespace Imbrex.Engine.Optics;

/// <summary>
/// What diffraction at a round aperture leaves of detail. Frequencies in cycles per mm on the image plane, wavelengths in mm. Sources:
/// Born and Wolf, Principles of Optics; Goodman, Introduction to Fourier Optics (from memory).
/// </summary>
public static class Diffraction
{
    /// <summary>Green light, to which eye and sensor are most sensitive, mm: common practice, no source.</summary>
    public const double GreenLight = 0.00055;

    /// <summary>First zero of the Airy pattern in units of lambda N: the first zero of the Bessel function J1, 3.8317060, by pi.</summary>
    public const double AiryFactor = 1.219669891;

    /// <summary>Frequency 1 / (lambda N_w) above which nothing is left.</summary>
    /// <param name="workingAperture">N_w, above 0.</param>
    /// <param name="wavelength">lambda, mm, above 0.</param>
    public static double CutOff(double workingAperture, double wavelength = GreenLight) =>
        1 / (OpticsCheck.Positive(wavelength) * OpticsCheck.Positive(workingAperture));

    /// <summary>Radius of the Airy disc, 1.2197 lambda N_w, mm.</summary>
    /// <param name="workingAperture">N_w, above 0.</param>
    /// <param name="wavelength">lambda, mm, above 0.</param>
    public static double AiryRadius(double workingAperture, double wavelength = GreenLight) => AiryFactor / CutOff(workingAperture, wavelength);

    /// <summary>Rayleigh's limit of two points, as a frequency: 1 / Airy radius.</summary>
    /// <param name="workingAperture">N_w, above 0.</param>
    /// <param name="wavelength">lambda, mm, above 0.</param>
    public static double RayleighFrequency(double workingAperture, double wavelength = GreenLight) => 1 / AiryRadius(workingAperture, wavelength);

    /// <summary>Contrast that is left, (2 / pi) (acos x - x sqrt(1 - x^2)), 0 to 1.</summary>
    /// <param name="partOfCutOff">x, frequency by cut-off, at least 0.</param>
    public static double Contrast(double partOfCutOff)
    {
        double x = Math.Min(1, OpticsCheck.NotNegative(partOfCutOff));
        return 2 / Math.PI * (Math.Acos(x) - x * Math.Sqrt(1 - x * x));
    }

    /// <summary>Working aperture 2 p / lambda from which on nothing finer than the sensor resolves reaches it, so that it cannot alias.</summary>
    /// <param name="pitch">p, distance of samples, mm, above 0: the pixel pitch, or twice that for the red and blue of a colour mosaic.</param>
    /// <param name="wavelength">lambda, mm, above 0.</param>
    public static double NoAliasingAperture(double pitch, double wavelength = GreenLight) => 2 * OpticsCheck.Positive(pitch) / OpticsCheck.Positive(wavelength);

    /// <summary>Highest frequency that samples at a pitch resolve (Nyquist), 1 / (2 p).</summary>
    /// <param name="pitch">p, mm, above 0.</param>
    public static double Nyquist(double pitch) => 1 / (2 * OpticsCheck.Positive(pitch));
}
