using Imbrex.Engine.Documents;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>A flat thing to be copied, and how finely.</summary>
/// <param name="Thing">Its size, mm.</param>
/// <param name="PixelsPerInch">Pixels to the inch of the thing.</param>
public sealed record CopyWork(PlaneSize Thing, double PixelsPerInch)
{
    private const double MillimetresPerInch = 25.4;

    /// <summary>Size in the image by size of the thing at which this sensor samples it so.</summary>
    public double Magnification(ISensor sensor) => PixelsPerInch / MillimetresPerInch / sensor.PxPerMm();

    /// <summary>The thing's image, mm, up to the next hundredth, so that all of it is on it.</summary>
    public PlaneSize Format(ISensor sensor)
    {
        double magnification = Magnification(sensor);
        return new(Up(magnification * Thing.Width), Up(magnification * Thing.Height));

        static double Up(double length) => Math.Ceiling(100 * length - 1e-6) / 100;
    }

    /// <summary>What this comes to, in words.</summary>
    /// <param name="sensor">The sensor.</param>
    /// <param name="focalLength">The lens's focal length, mm, or null if not known.</param>
    public string Note(ISensor sensor, double? focalLength)
    {
        double m = Magnification(sensor);
        PlaneSize format = Format(sensor);
        (double wide, double high) = (Math.Round(format.Width * sensor.PxPerMm()), Math.Round(format.Height * sensor.PxPerMm()));

        // Thin lens: the thing lies f (1 + 1/m) before it, the sensor f (1 + m) behind.
        string lens = focalLength is { } f
            ? FormattableString.Invariant($"; the lens stands {f * (1 + 1 / m):0} mm from it and {f * (1 + m):0.#} mm from the sensor (principal planes)")
            : "";
        return FormattableString.Invariant($"{Thing.Width:0.##} x {Thing.Height:0.##} mm at {PixelsPerInch:0.##} pixels to the inch of the thing: magnification {m:0.####}, {wide} x {high} px{lens}.");
    }
}
