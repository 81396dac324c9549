namespace Imbrex.Engine.Optics;

/// <summary>The circle that a lens draws on the image plane, mm. Exact as far as the cone behind the lens keeps its angle at all distances (practice).</summary>
public static class ImageCircle
{
    /// <summary>Diameter D = 2 f (1 + m) tan(theta / 2), mm.</summary>
    /// <param name="focalLength">f, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    /// <param name="coverageDeg">theta, the full angle of coverage, degrees, above 0 and below 180.</param>
    public static double Diameter(double focalLength, double magnification, double coverageDeg) =>
        2 * ThinLens.ImageDistance(focalLength, magnification) * Math.Tan(OpticsCheck.Between(coverageDeg, 0, 180) * Math.PI / 360);

    /// <summary>The diameter at a magnification of a circle that is stated at infinity: it grows by 1 + m.</summary>
    /// <param name="atInfinity">Diameter at infinity, mm, above 0.</param>
    /// <param name="magnification">m, at least 0.</param>
    public static double Grown(double atInfinity, double magnification) => OpticsCheck.Positive(atInfinity) * (1 + OpticsCheck.NotNegative(magnification));

    /// <summary>
    /// The farthest displacement along one side with the other side centred, sqrt(R^2 - (across / 2)^2) - along / 2, mm: for a rise, across
    /// is the format's width and along its height. Negative or NaN where the format does not fit.
    /// </summary>
    /// <param name="diameter">2 R, mm, above 0.</param>
    /// <param name="across">Side across the displacement, mm, above 0.</param>
    /// <param name="along">Side along it, mm, above 0.</param>
    public static double LargestDisplacement(double diameter, double across, double along) =>
        Math.Sqrt((OpticsCheck.Positive(diameter) * diameter - OpticsCheck.Positive(across) * across) / 4) - OpticsCheck.Positive(along) / 2;
}
