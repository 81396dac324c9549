namespace Imbrex.Engine.Photometry;

/// <summary>
/// Brings light above white back below it, the same for all frames: unchanged up to a knee, then a hyperbola that leaves the knee at slope 1 and
/// reaches white at the most light there is.
/// </summary>
internal sealed class Shoulder
{
    /// <summary>The knee lies so many times as far below white as the most light lies above it, and never lower than this.</summary>
    private const double KneeRatio = 1.5, LowestKnee = 0.6;

    private readonly double _bend;

    /// <summary>Makes a shoulder.</summary>
    /// <param name="top">The most light there is, white 1; up to 1 the shoulder changes nothing.</param>
    public Shoulder(double top)
    {
        Top = Math.Max(top, 1);
        Knee = Math.Max(1 - KneeRatio * (Top - 1), LowestKnee);
        _bend = IsNone ? 0 : 1 / (1 - Knee) - 1 / (Top - Knee);
    }

    /// <summary>A shoulder that changes nothing.</summary>
    public static Shoulder None { get; } = new(1);

    /// <summary>Light that becomes white.</summary>
    public double Top { get; }

    /// <summary>Light up to here stays as it is.</summary>
    public double Knee { get; }

    /// <summary>Whether nothing is changed.</summary>
    public bool IsNone => Top == 1;

    /// <summary>Light as it goes into the picture.</summary>
    public double Apply(double light)
    {
        double above = light - Knee;
        return above <= 0 ? light : Knee + above / (1 + _bend * above);
    }
}
