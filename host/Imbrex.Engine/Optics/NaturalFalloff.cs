namespace Imbrex.Engine.Optics;

/// <summary>
/// How the light falls off away from the axis of a lens that vignettes nothing: ratios to the light on the axis, 1 and below. Real
/// lenses may do better or worse: neither formula is a law for a stop between lens groups.
/// </summary>
public static class NaturalFalloff
{
    /// <summary>cos^4 a for tan a = slope: a small pupil (derivation: Kerr 2007; limits: Reshidko and Sasian, Opt. Eng. 56(1) 015104, 2017).</summary>
    /// <param name="slope">Distance from the axis by distance from the pupil, at least 0.</param>
    public static double Cos4(double slope)
    {
        double square = 1 + OpticsCheck.NotNegative(slope) * slope;
        return 1 / (square * square);
    }

    /// <summary>
    /// A pupil in the shape of a disc that is equally bright all over, exactly: E ~ 1 - (1 + t^2 - b^2) / sqrt((1 + t^2 + b^2)^2 - 4 t^2 b^2)
    /// with b = 1 / (2 N_w) (Foote 1915, from memory), by its value on the axis, 2 b^2 / (1 + b^2).
    /// </summary>
    /// <param name="slope">t, distance from the axis by distance from the pupil, at least 0.</param>
    /// <param name="workingAperture">N_w, above 0.</param>
    public static double Disc(double slope, double workingAperture)
    {
        double t2 = OpticsCheck.NotNegative(slope) * slope;
        double b2 = 1 / (4 * OpticsCheck.Positive(workingAperture) * workingAperture);
        double root = Math.Sqrt((1 + t2 + b2) * (1 + t2 + b2) - 4 * t2 * b2);

        // 1 - (1 + t2 - b2) / root written without the difference of nearly equal numbers: root^2 - (1 + t2 - b2)^2 = 4 b2.
        double light = 4 * b2 / (root * (root + (1 + t2 - b2)));
        return light / (2 * b2 / (1 + b2));
    }

    /// <summary>
    /// The small pupil of a tilted lens: the pupil is seen at the angle between ray and lens axis, the sensor and the distance at the angle
    /// between ray and the sensor's normal: cos(lens) cos^3(sensor), by its value where both are 0. cos^4 without tilt.
    /// </summary>
    /// <param name="cosToLensAxis">Cosine of the angle between ray and lens axis, above 0 to 1.</param>
    /// <param name="cosToNormal">Cosine of the angle between ray and the normal of the image plane, above 0 to 1.</param>
    public static double Tilted(double cosToLensAxis, double cosToNormal) =>
        OpticsCheck.Positive(cosToLensAxis) * Math.Pow(OpticsCheck.Positive(cosToNormal), 3);

    /// <summary>A ratio of light in stops, log2; negative for less light.</summary>
    /// <param name="ratio">Above 0.</param>
    public static double Stops(double ratio) => Math.Log2(OpticsCheck.Positive(ratio));
}
