namespace Imbrex.Engine.Optics;

/// <summary>How long to expose where things move. Seconds, mm and mm/s in the scene, stops. Sources beside each; the rest is common practice, no source.</summary>
public static class ExposureTimes
{
    /// <summary>The share of an exposure that a passing thing may take and still count as gone: common practice, no source.</summary>
    public const double GoneShare = 0.02;

    /// <summary>Exposure after which a thing is gone, (b / v) / q: it covers any point for b / v, which is then a share q of the exposure.</summary>
    /// <param name="width">b along its way, mm, above 0.</param>
    /// <param name="speed">v, mm/s, above 0.</param>
    /// <param name="share">q, above 0 and below 1.</param>
    public static double Vanish(double width, double speed, double share = GoneShare) =>
        OpticsCheck.Positive(width) / OpticsCheck.Positive(speed) / OpticsCheck.Between(share, 0, 1);

    /// <summary>Longest exposure in which a thing moves by no more than some pixels: px / (v m pxPerMm), for a thing that crosses the line of sight.</summary>
    /// <param name="speed">v, mm/s, above 0.</param>
    /// <param name="imageDistance">From lens to image, mm, above 0.</param>
    /// <param name="distance">From lens to the thing, mm, above 0.</param>
    /// <param name="pxPerMm">Pixels per mm on the image plane, above 0.</param>
    /// <param name="pixels">How far it may move, px, above 0.</param>
    public static double Freeze(double speed, double imageDistance, double distance, double pxPerMm, double pixels = 1) =>
        OpticsCheck.Positive(pixels) / ImageSpeed(speed, imageDistance, distance, pxPerMm);

    /// <summary>How fast a thing that crosses the line of sight runs over the image, px/s.</summary>
    /// <param name="speed">v, mm/s, above 0.</param>
    /// <param name="imageDistance">From lens to image, mm, above 0.</param>
    /// <param name="distance">From lens to the thing, mm, above 0.</param>
    /// <param name="pxPerMm">Pixels per mm on the image plane, above 0.</param>
    public static double ImageSpeed(double speed, double imageDistance, double distance, double pxPerMm) =>
        OpticsCheck.Positive(speed) * OpticsCheck.Positive(imageDistance) / OpticsCheck.Positive(distance) * OpticsCheck.Positive(pxPerMm);

    /// <summary>Neutral density that turns one exposure into another, stops: log2(wanted / metered); negative where light must be gained instead.</summary>
    /// <param name="wanted">Seconds, above 0.</param>
    /// <param name="metered">Seconds without a filter, above 0.</param>
    public static double NeutralDensity(double wanted, double metered) => Math.Log2(OpticsCheck.Positive(wanted) / OpticsCheck.Positive(metered));

    /// <summary>
    /// Fewest frames (odd) whose median shows the scene at a point that things cover for part of the time: the chance that half of the frames or
    /// more are covered, a binomial tail, is at most <paramref name="risk"/>. Frames must be further apart than a thing takes to pass.
    /// </summary>
    /// <param name="covered">Part of the time for which a point is covered, at least 0 and below 0.5.</param>
    /// <param name="risk">Chance of a wrong point, above 0 and below 1.</param>
    /// <returns>The number of frames, or null where more than <see cref="MostFrames"/> would be needed.</returns>
    public static int? MedianFrames(double covered, double risk = 0.001)
    {
        OpticsCheck.Between(covered, -double.Epsilon, 0.5);
        OpticsCheck.Between(risk, 0, 1);
        for (int frames = 1; frames <= MostFrames; frames += 2)
        {
            if (MajorityCovered(frames, covered) <= risk)
                return frames;
        }
        return null;
    }

    /// <summary>More frames of one tile than this nobody shoots.</summary>
    public const int MostFrames = 63;

    /// <summary>Chance that more than half of an odd number of independent frames are covered (binomial distribution).</summary>
    /// <param name="frames">Odd, at least 1.</param>
    /// <param name="covered">Chance for one frame, 0 to 1.</param>
    public static double MajorityCovered(int frames, double covered)
    {
        OpticsCheck.Between(covered, -double.Epsilon, 1);
        double term = Math.Pow(1 - covered, frames), sum = 0;
        for (int k = 0; k <= frames; k++)
        {
            if (2 * k > frames)
                sum += term;
            term *= covered / (1 - covered) * (frames - k) / (k + 1);
        }
        return sum;
    }

    /// <summary>How far the sun goes along its path, degrees: 360 degrees in 24 hours, and at most that across the sky.</summary>
    /// <param name="seconds">At least 0.</param>
    public static double SunPath(double seconds) => OpticsCheck.NotNegative(seconds) * 360 / 86_400;

    /// <summary>
    /// Altitude of the sun, degrees, below which the light on level ground may change by more than <paramref name="stops"/> while the sun goes straight
    /// down by <paramref name="pathDeg"/>: sin(h - d) / sin h = 2^-stops, so cot h = (cos d - 2^-stops) / sin d. A caution, not a forecast: thin air
    /// near the horizon and clouds do more.
    /// </summary>
    /// <param name="pathDeg">d, degrees, above 0 and below 90.</param>
    /// <param name="stops">Above 0.</param>
    public static double LowSun(double pathDeg, double stops = 1.0 / 3)
    {
        (double sin, double cos) = Math.SinCos(OpticsCheck.Between(pathDeg, 0, 90) * Math.PI / 180);
        return Math.Atan2(sin, cos - double.Exp2(-OpticsCheck.Positive(stops))) * 180 / Math.PI;
    }
}
