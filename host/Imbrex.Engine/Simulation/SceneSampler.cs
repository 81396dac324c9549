using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Imbrex.Engine.Simulation;

/// <summary>
/// Looks at a scene through a shifted and rotated grid of pixels, block by block. One sampler serves one thread: it keeps its buffers.
/// </summary>
/// <param name="scene">The scene.</param>
/// <param name="blur">What a defocused lens does to it, or null.</param>
internal sealed class SceneSampler(IScene scene, SeparableFilter? blur = null)
{
    private float[] _rendered = [];
    private float[] _blurred = [];

    /// <summary>Samples a block of a frame.</summary>
    /// <param name="grid">Where the frame's pixels fall.</param>
    /// <param name="block">The block of the frame.</param>
    /// <param name="rgbx">Receives four floats per pixel, row after row.</param>
    public void Sample(in FrameGrid grid, PixelBlock block, Span<float> rgbx)
    {
        PixelBlock touched = grid.Bounds(block);
        // One pixel more than the taps need, so that rounding at the bounds does no harm.
        PixelBlock seen = touched.Grown(SincKernel.Taps / 2 + 1);
        ReadOnlySpan<float> light = Light(seen);
        Span<Vector128<float>> across = stackalloc Vector128<float>[SincKernel.Taps];
        Span<Vector128<float>> down = stackalloc Vector128<float>[SincKernel.Taps];
        (float lastX, float lastY) = (-1, -1);
        int at = 0;
        for (int row = 0; row < block.Height; row++)
        {
            for (int column = 0; column < block.Width; column++, at += 4)
            {
                (double x, double y) = grid.Map(block.X + column, block.Y + row);
                (double wholeX, double wholeY) = (Math.Floor(x), Math.Floor(y));
                (float phaseX, float phaseY) = ((float)(x - wholeX), (float)(y - wholeY));
                // Without a rotation the phases never change but for rounding, and the weights need not be made anew.
                if (phaseX != lastX)
                    SincKernel.WeightsAt(lastX = phaseX, across);
                if (phaseY != lastY)
                    SincKernel.WeightsAt(lastY = phaseY, down);
                int first = ((int)wholeY - SincKernel.Before - seen.Y) * seen.Width + (int)wholeX - SincKernel.Before - seen.X;
                Weigh(light, first * 4, seen.Width * 4, across, down).CopyTo(rgbx[at..]);
            }
        }
    }

    private ReadOnlySpan<float> Light(PixelBlock seen)
    {
        if (blur is null)
        {
            Span<float> plain = Buffer(ref _rendered, seen);
            scene.Render(seen, plain);
            return plain;
        }
        PixelBlock wide = seen.Grown(blur.Reach);
        Span<float> sharp = Buffer(ref _rendered, wide);
        Span<float> soft = Buffer(ref _blurred, seen);
        scene.Render(wide, sharp);
        blur.Apply(sharp, soft, seen.Width, seen.Height);
        return soft;
    }

    private static Vector128<float> Weigh(ReadOnlySpan<float> light, int first, int stride, ReadOnlySpan<Vector128<float>> across, ReadOnlySpan<Vector128<float>> down)
    {
        // The last load must lie inside; what comes before it then does too.
        _ = light[first..(first + (SincKernel.Taps - 1) * stride + SincKernel.Taps * 4)];
        ref float line = ref Unsafe.Add(ref MemoryMarshal.GetReference(light), first);
        ref float wx = ref Unsafe.As<Vector128<float>, float>(ref MemoryMarshal.GetReference(across));
        Vector256<float> sum = Vector256<float>.Zero;
        for (int j = 0; j < SincKernel.Taps; j++)
        {
            // Two pixels at a time.
            Vector256<float> a = Vector256<float>.Zero, b = a;
            for (nuint i = 0; i < 4 * SincKernel.Taps; i += 16)
            {
                a = Vector256.FusedMultiplyAdd(Vector256.LoadUnsafe(ref wx, i), Vector256.LoadUnsafe(ref line, i), a);
                b = Vector256.FusedMultiplyAdd(Vector256.LoadUnsafe(ref wx, i + 8), Vector256.LoadUnsafe(ref line, i + 8), b);
            }
            sum = Vector256.FusedMultiplyAdd(Vector256.Create(down[j], down[j]), a + b, sum);
            line = ref Unsafe.Add(ref line, stride);
        }
        return sum.GetLower() + sum.GetUpper();
    }

    private static Span<float> Buffer(ref float[] buffer, PixelBlock block)
    {
        int needed = block.Area * 4;
        if (buffer.Length < needed)
            buffer = new float[needed];
        return buffer.AsSpan(0, needed);
    }
}
