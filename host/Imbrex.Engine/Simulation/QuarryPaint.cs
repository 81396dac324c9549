using System.Numerics;

namespace Imbrex.Engine.Simulation;

/// <summary>A surface of the quarry before the sun falls on it.</summary>
/// <param name="Height">Relief towards the viewer, units of the picture's height.</param>
/// <param name="Red">Linear reflectance, or light where nothing is lit.</param>
/// <param name="Green">See <paramref name="Red"/>.</param>
/// <param name="Blue">See <paramref name="Red"/>.</param>
/// <param name="Lit">1 where relief and sun shape the light, 0 where the colour is the light (sky, water).</param>
internal readonly record struct QuarryPaint(Vector<float> Height, Vector<float> Red, Vector<float> Green, Vector<float> Blue, Vector<float> Lit)
{
    public static QuarryPaint Plain(float red, float green, float blue, float lit = 1) =>
        new(Vector<float>.Zero, Vector.Create(red), Vector.Create(green), Vector.Create(blue), Vector.Create(lit));

    /// <summary>From this surface to another.</summary>
    public QuarryPaint Towards(QuarryPaint other, Vector<float> part) => new(
        LatticeNoise.Between(Height, other.Height, part),
        LatticeNoise.Between(Red, other.Red, part),
        LatticeNoise.Between(Green, other.Green, part),
        LatticeNoise.Between(Blue, other.Blue, part),
        LatticeNoise.Between(Lit, other.Lit, part));

    /// <summary>From this colour to another; the relief stays.</summary>
    public QuarryPaint Tinted(float red, float green, float blue, Vector<float> part) => this with
    {
        Red = LatticeNoise.Between(Red, Vector.Create(red), part),
        Green = LatticeNoise.Between(Green, Vector.Create(green), part),
        Blue = LatticeNoise.Between(Blue, Vector.Create(blue), part),
    };

    /// <summary>Lighter or darker.</summary>
    public QuarryPaint Times(Vector<float> factor) => this with { Red = Red * factor, Green = Green * factor, Blue = Blue * factor };
}
