namespace Imbrex.Sdk.Geometry;

/// <summary>A length that can be set anywhere between two ends, or a fixed one where both are the same, in millimetres.</summary>
/// <param name="Least">The smallest, mm.</param>
/// <param name="Most">The largest, mm; not below <paramref name="Least"/>.</param>
public readonly record struct LengthRange(double Least, double Most)
{
    /// <summary>Whether there is nothing to set.</summary>
    public bool IsFixed => Least == Most;
}
