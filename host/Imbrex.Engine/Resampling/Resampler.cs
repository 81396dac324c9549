using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Resampling;

/// <summary>One or more planes of the same size, one behind the other, row after row.</summary>
/// <param name="Pixels">The values.</param>
/// <param name="Width">Columns.</param>
/// <param name="Height">Rows.</param>
/// <param name="Planes">Number of planes.</param>
internal readonly record struct Planar(float[] Pixels, int Width, int Height, int Planes)
{
    public int PlaneSize => Width * Height;

    public static Planar Allocate(int width, int height, int planes) => new(new float[width * height * planes], width, height, planes);
}

/// <summary>A rigid map from a target's pixels to a source's: source = (X, Y) + R * (column, row), R clockwise on the screen.</summary>
/// <param name="X">Source column of target pixel (0, 0).</param>
/// <param name="Y">Source row of target pixel (0, 0).</param>
/// <param name="Angle">Radians clockwise.</param>
internal readonly record struct RigidMap(double X, double Y, double Angle)
{
    /// <summary>Whether the map moves by whole pixels only, so that nothing needs interpolating.</summary>
    public bool IsWhole => Angle == 0 && X == Math.Floor(X) && Y == Math.Floor(Y);
}

/// <summary>
/// Samples planes under a shift and a small rotation with <see cref="Kernel"/>. Eight neighbouring target pixels are done at once
/// where they fall into neighbouring source pixels, which small rotations nearly always grant; the rest is done one by one.
/// </summary>
internal static class Resampler
{
    private const int Lanes = 8;

    private static readonly Vector256<float> LaneIndex = Vector256.Create(0f, 1f, 2f, 3f, 4f, 5f, 6f, 7f);

    /// <summary>Fills rows of the target.</summary>
    /// <param name="source">The source, with <see cref="Kernel.Margin"/> pixels around every sampled position.</param>
    /// <param name="target">The target; all its planes are filled.</param>
    /// <param name="map">From target to source pixels.</param>
    public static void Resample(Planar source, Planar target, RigidMap map)
    {
        (double sin, double cos) = Math.SinCos(map.Angle);
        // Eight lanes at once need their phases within the Taylor reach of the middle one.
        bool smallAngle = (Lanes - 1) * Math.Abs(sin) / 2 + 1.0 / Kernel.Phases < Kernel.Reach;
        for (int row = 0; row < target.Height; row++)
        {
            double x = map.X - row * sin, y = map.Y + row * cos;
            int column = 0;
            for (; smallAngle && column <= target.Width - Lanes; column += Lanes)
            {
                if (!TryEight(source, target, row, column, x + column * cos, y + column * sin, (float)cos, (float)sin))
                    OneByOne(source, target, row, column, column + Lanes, x, y, cos, sin);
            }
            OneByOne(source, target, row, column, target.Width, x, y, cos, sin);
        }
    }

    private static bool TryEight(Planar source, Planar target, int row, int column, double x, double y, float cos, float sin)
    {
        double floorX = Math.Floor(x), floorY = Math.Floor(y);
        if (Math.Floor(x + (Lanes - 1) * cos) != floorX + Lanes - 1 || Math.Floor(y + (Lanes - 1) * sin) != floorY)
            return false;
        Weights wx = Weights.Of((float)(x - floorX), cos - 1);
        Weights wy = Weights.Of((float)(y - floorY), sin);
        int first = ((int)floorY - (Kernel.Margin - 1)) * source.Width + (int)floorX - (Kernel.Margin - 1);
        ref float sourceStart = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(source.Pixels), first);
        for (int plane = 0; plane < source.Planes; plane++)
        {
            ref float at = ref Unsafe.Add(ref sourceStart, plane * source.PlaneSize);
            Vector256<float> sum =
                wy[0] * Horizontal(ref at, wx);
            for (int tap = 1; tap < Kernel.Taps; tap++)
                sum = Vector256.FusedMultiplyAdd(wy[tap], Horizontal(ref Unsafe.Add(ref at, tap * source.Width), wx), sum);
            sum.StoreUnsafe(ref target.Pixels[plane * target.PlaneSize + row * target.Width + column]);
        }
        return true;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Horizontal(ref float at, in Weights weights)
    {
        Vector256<float> sum = weights[0] * Vector256.LoadUnsafe(ref at);
        sum = Vector256.FusedMultiplyAdd(weights[1], Vector256.LoadUnsafe(ref at, 1), sum);
        sum = Vector256.FusedMultiplyAdd(weights[2], Vector256.LoadUnsafe(ref at, 2), sum);
        sum = Vector256.FusedMultiplyAdd(weights[3], Vector256.LoadUnsafe(ref at, 3), sum);
        sum = Vector256.FusedMultiplyAdd(weights[4], Vector256.LoadUnsafe(ref at, 4), sum);
        return Vector256.FusedMultiplyAdd(weights[5], Vector256.LoadUnsafe(ref at, 5), sum);
    }

    private static void OneByOne(Planar source, Planar target, int row, int from, int to, double x, double y, double cos, double sin)
    {
        Span<double> wx = stackalloc double[Kernel.Taps], wy = stackalloc double[Kernel.Taps];
        for (int column = from; column < to; column++)
        {
            double sx = x + column * cos, sy = y + column * sin;
            double floorX = Math.Floor(sx), floorY = Math.Floor(sy);
            Tabulated(sx - floorX, wx);
            Tabulated(sy - floorY, wy);
            int first = ((int)floorY - (Kernel.Margin - 1)) * source.Width + (int)floorX - (Kernel.Margin - 1);
            for (int plane = 0; plane < source.Planes; plane++)
            {
                double sum = 0;
                for (int tap = 0; tap < Kernel.Taps; tap++)
                {
                    ReadOnlySpan<float> taps = source.Pixels.AsSpan(plane * source.PlaneSize + first + tap * source.Width, Kernel.Taps);
                    sum += wy[tap] * (wx[0] * taps[0] + wx[1] * taps[1] + wx[2] * taps[2] + wx[3] * taps[3] + wx[4] * taps[4] + wx[5] * taps[5]);
                }
                target.Pixels[plane * target.PlaneSize + row * target.Width + column] = (float)sum;
            }
        }
    }

    private static void Tabulated(double fraction, Span<double> weights)
    {
        int phase = (int)Math.Round(fraction * Kernel.Phases);
        double d = fraction - phase / (double)Kernel.Phases;
        for (int tap = 0; tap < Kernel.Taps; tap++)
        {
            int i = phase * Kernel.Taps + tap;
            weights[tap] = Kernel.Value[i] + d * (Kernel.Slope[i] + d * Kernel.Bend[i]);
        }
    }

    /// <summary>The six weights of eight neighbouring pixels, whose fractions rise by a constant step.</summary>
    [InlineArray(Kernel.Taps)]
    private struct Weights
    {
        private Vector256<float> _first;

        public static Weights Of(float fraction, float step)
        {
            float middle = fraction + step * ((Lanes - 1) / 2f);
            int phase = Math.Clamp((int)MathF.Round(middle * Kernel.Phases), 0, Kernel.Phases);
            Vector256<float> d = Vector256.FusedMultiplyAdd(LaneIndex, Vector256.Create(step), Vector256.Create(fraction - phase / (float)Kernel.Phases));
            var weights = default(Weights);
            for (int tap = 0; tap < Kernel.Taps; tap++)
            {
                int i = phase * Kernel.Taps + tap;
                Vector256<float> slope = Vector256.FusedMultiplyAdd(d, Vector256.Create(Kernel.Bend[i]), Vector256.Create(Kernel.Slope[i]));
                weights[tap] = Vector256.FusedMultiplyAdd(d, slope, Vector256.Create(Kernel.Value[i]));
            }
            return weights;
        }
    }
}
