namespace Imbrex.Sdk.Geometry;

/// <summary>Angles in degrees, with exact values where the back turns by whole quarters.</summary>
public static class Angles
{
    /// <summary>Sine and cosine of an angle in degrees; exact at multiples of 90.</summary>
    public static (double Sin, double Cos) SinCosDegrees(double degrees) => Wrap(degrees) switch
    {
        0 => (0, 1),
        90 => (1, 0),
        180 => (0, -1),
        -90 => (-1, 0),
        _ => Math.SinCos(degrees * (Math.PI / 180)),
    };

    /// <summary>The same angle in (-180, 180].</summary>
    public static double Wrap(double degrees)
    {
        double wrapped = Math.IEEERemainder(degrees, 360);
        return wrapped <= -180 ? wrapped + 360 : wrapped;
    }
}
