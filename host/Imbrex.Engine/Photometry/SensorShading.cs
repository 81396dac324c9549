using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Photometry;

/// <summary>
/// Light lost in the same way in every frame because it is fixed to the sensor: for each channel a smooth polynomial of the logarithm of light
/// over the sensor, 0 in its middle. Coordinates are the sensor's own (body upright), in units of its half diagonal.
/// </summary>
/// <param name="Coefficients">For R, G, B one coefficient for each term.</param>
public sealed record SensorShading(IReadOnlyList<IReadOnlyList<double>> Coefficients)
{
    /// <summary>Names of the terms, in order; r is the distance from the middle.</summary>
    /// <remarks>
    /// Even powers up to the sixth follow falloff of any kind (for cos^4 at an image distance of one diagonal to 0.0001 of a stop); xr2 and yr2 follow one whose
    /// middle lies beside the sensor's.
    /// </remarks>
    public static IReadOnlyList<string> Terms { get; } = ["x", "y", "x2", "xy", "y2", "r4", "r6", "xr2", "yr2"];

    /// <summary>How many of the first terms are linear.</summary>
    internal const int LinearTerms = 2;

    /// <summary>ln of the light left at a place, one channel.</summary>
    public double LogAt(int band, double x, double y)
    {
        Span<double> terms = stackalloc double[Terms.Count];
        Evaluate(x, y, terms);
        double sum = 0;
        for (int i = 0; i < terms.Length; i++)
            sum += Coefficients[band][i] * terms[i];
        return sum;
    }

    /// <summary>The terms at a place.</summary>
    public static void Evaluate(double x, double y, Span<double> terms)
    {
        double r2 = x * x + y * y;
        (terms[0], terms[1], terms[2], terms[3], terms[4]) = (x, y, x * x, x * y, y * y);
        (terms[5], terms[6], terms[7], terms[8]) = (r2 * r2, r2 * r2 * r2, x * r2, y * r2);
    }

    /// <summary>From an offset in the upright frame to the sensor's own coordinates.</summary>
    /// <param name="dx">Offset from the frame's centre, px.</param>
    /// <param name="dy">Likewise.</param>
    /// <param name="bodyTurn">The body's turn: its upright frame was turned by as much.</param>
    /// <param name="radius">Half diagonal of the frame, px.</param>
    public static (double X, double Y) Place(double dx, double dy, Turn bodyTurn, double radius)
    {
        PlanePoint own = new PlanePoint(dx / radius, dy / radius).Rotated(-bodyTurn.Degrees());
        return (own.X, own.Y);
    }
}
