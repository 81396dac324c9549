using System.Numerics;
using System.Runtime.CompilerServices;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// Gradient noise on a hashed lattice (after Perlin 1985, with the quintic blend of Perlin 2002), as many pixels at once as the
/// machine's vectors hold. Every lane depends on its own coordinates only, so that vectors of any width give the same picture.
/// </summary>
internal static class LatticeNoise
{
    /// <summary>Noise of wavelength about 1, mean 0, mostly within -1 to 1.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<float> Value(Vector<float> x, Vector<float> y, int seed)
    {
        Vector<float> fx = Vector.Floor(x), fy = Vector.Floor(y);
        Vector<int> left = Vector.ConvertToInt32Native(fx) * 0x27D4EB2D, top = Vector.ConvertToInt32Native(fy) * 0x165667B1 + Vector.Create(seed * 0x3C6EF372);
        Vector<int> right = left + Vector.Create(0x27D4EB2D), bottom = top + Vector.Create(0x165667B1);
        x -= fx;
        y -= fy;
        Vector<float> x1 = x - Vector<float>.One, y1 = y - Vector<float>.One;
        Vector<float> u = Quintic(x), v = Quintic(y);
        Vector<float> upper = Between(Slope(left, top, x, y), Slope(right, top, x1, y), u);
        Vector<float> lower = Between(Slope(left, bottom, x, y1), Slope(right, bottom, x1, y1), u);
        return Between(upper, lower, v) * 1.6f;
    }

    /// <summary>Octaves of noise, each half as long and <paramref name="gain"/> as strong as the one before.</summary>
    /// <param name="x">Across, units.</param>
    /// <param name="y">Down, units.</param>
    /// <param name="longest">Wavelength of the first octave, units.</param>
    /// <param name="shortest">No octave is shorter than this.</param>
    /// <param name="gain">Strength of an octave against the one before.</param>
    /// <param name="seed">Chooses the noise.</param>
    public static Vector<float> Octaves(Vector<float> x, Vector<float> y, float longest, float shortest, float gain, int seed)
    {
        Vector<float> sum = Vector<float>.Zero;
        float strength = 1;
        for (float wave = longest; wave >= shortest; wave /= 2, strength *= gain)
            sum += strength * Value(x * (1 / wave), y * (1 / wave), seed++);
        return sum;
    }

    /// <summary>Well-mixed bits for a cell of a lattice.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<int> Bits(Vector<int> column, Vector<int> row, int seed) =>
        Mixed(column * 0x27D4EB2D + row * 0x165667B1 + Vector.Create(seed * 0x3C6EF372));

    /// <summary>A number from 0 to 1 out of 8 of the 32 bits.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<float> Part(Vector<int> bits, int which) => Vector.ConvertToSingle((bits >>> (8 * which)) & Vector.Create(255)) * (1 / 255f);

    /// <summary>From a to b; exactly a at 0 and exactly b at 1, so that what does not show need not be computed.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<float> Between(Vector<float> a, Vector<float> b, Vector<float> part) => a * (Vector<float>.One - part) + b * part;

    /// <summary>0 below the first edge, 1 above the second, smooth between.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<float> Step(Vector<float> low, Vector<float> high, Vector<float> value)
    {
        Vector<float> part = Vector.Min(Vector.Max((value - low) / (high - low), Vector<float>.Zero), Vector<float>.One);
        return part * part * (Vector.Create(3f) - 2 * part);
    }

    /// <inheritdoc cref="Step(Vector{float}, Vector{float}, Vector{float})"/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<float> Step(float low, float high, Vector<float> value) => Step(Vector.Create(low), Vector.Create(high), value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector<float> Slope(Vector<int> column, Vector<int> row, Vector<float> x, Vector<float> y)
    {
        Vector<int> bits = Mixed(column + row);
        Vector<float> gx = Vector.ConvertToSingle(bits & Vector.Create(0xFFFF)) * (1 / 32768f) - Vector<float>.One;
        Vector<float> gy = Vector.ConvertToSingle(bits >>> 16) * (1 / 32768f) - Vector<float>.One;
        return gx * x + gy * y;
    }

    // An integer hash of two multiplications; constants from a published search for low bias, from memory.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector<int> Mixed(Vector<int> bits)
    {
        bits ^= bits >>> 15;
        bits *= 0x2C1B3C6D;
        bits ^= bits >>> 12;
        bits *= 0x297A2D39;
        return bits ^ (bits >>> 15);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector<float> Quintic(Vector<float> t) => t * t * t * (t * (6 * t - Vector.Create(15f)) + Vector.Create(10f));
}
