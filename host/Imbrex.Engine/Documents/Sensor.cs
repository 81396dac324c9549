using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Documents;

/// <summary>The sensor's size in millimetres and pixels.</summary>
public interface ISensor
{
    double WidthMm { get; }
    double HeightMm { get; }
    int WidthPx { get; }
    int HeightPx { get; }
}

/// <summary>The sensor alone, in a plan written by hand.</summary>
public sealed record SensorPart : ISensor
{
    public required double WidthMm { get; init; }
    public required double HeightMm { get; init; }
    public required int WidthPx { get; init; }
    public required int HeightPx { get; init; }
}

/// <summary>What follows from a sensor's numbers.</summary>
public static class SensorRules
{
    /// <summary>Size with the body upright, mm.</summary>
    public static PlaneSize Size(this ISensor sensor) => new(sensor.WidthMm, sensor.HeightMm);

    /// <summary>Pixels per millimetre on the image plane: width in pixels by width in mm.</summary>
    public static double PxPerMm(this ISensor sensor) => sensor.WidthPx / sensor.WidthMm;

    /// <summary>Checks a sensor that does not come from a file.</summary>
    /// <exception cref="Sdk.InputException">A side is not possible, or width and height disagree about the pixel size.</exception>
    public static void ThrowIfFaulty(ISensor sensor, string source)
    {
        var check = new DocumentCheck(source);
        Validate(sensor, check, "sensor");
        check.ThrowIfFaulty();
    }

    internal static void Validate(ISensor sensor, DocumentCheck check, string path)
    {
        check.Positive(sensor.WidthMm, path + ".widthMm");
        check.Positive(sensor.HeightMm, path + ".heightMm");
        check.Require(sensor.WidthPx is >= 16 and <= 65_500, path + ".widthPx", $"The sensor is {sensor.WidthPx} px wide; 16 to 65500 is possible.");
        check.Require(sensor.HeightPx is >= 16 and <= 65_500, path + ".heightPx", $"The sensor is {sensor.HeightPx} px high; 16 to 65500 is possible.");
        if (sensor.WidthMm > 0 && sensor.HeightMm > 0 && sensor.HeightPx > 0)
        {
            double disagreement = Math.Abs(sensor.HeightPx / sensor.HeightMm / sensor.PxPerMm() - 1);
            check.Require(disagreement <= 0.005, path, FormattableString.Invariant(
                $"Width gives {sensor.PxPerMm():0.###} px/mm and height {sensor.HeightPx / sensor.HeightMm:0.###}: they differ by more than 0.5 %."));
        }
    }
}
