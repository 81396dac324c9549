using System.Buffers;
using System.Numerics;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Reads a block of a frame in grey, (R + 2 G + B) / 4, smoothed by [-1 4 10 4 -1] / 16 both ways, whose response is 1 - sin^4(pi f): it leaves detail coarser than 5 px
/// whole, three quarters of that of 4 px, half of that of 3.2 px, and takes out the finest, which interpolation and gradients would get wrong.
/// </summary>
internal static class GreyReader
{
    /// <summary>Pixels that must lie around the block.</summary>
    public const int Reach = 2;

    /// <summary>Sum of the filter's squared weights along one axis: what it leaves of the variance of independent noise.</summary>
    public const double NoiseLeft = Middle * Middle + 2 * Near * Near + 2 * Far * Far;

    private const float Middle = 10f / 16, Near = 4f / 16, Far = -1f / 16;

    /// <summary>Reads a block, or gives null where the frame does not hold it.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="x">First column.</param>
    /// <param name="y">First row.</param>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="room">Receives the pixels; replaced where it is too short for them.</param>
    public static GrayImage? Read(Frame frame, int x, int y, int width, int height, ref float[] room)
    {
        if (x < Reach || y < Reach || x + width > frame.Width - Reach || y + height > frame.Height - Reach)
            return null;
        int w = width + 2 * Reach, h = height + 2 * Reach;
        ushort[] rgb = ArrayPool<ushort>.Shared.Rent(w * h * Frame.Bands);
        float[] grey = ArrayPool<float>.Shared.Rent(w * h);
        float[] columns = ArrayPool<float>.Shared.Rent(w);
        try
        {
            frame.ReadBlock(x - Reach, y - Reach, w, h, rgb);
            ToGrey(rgb.AsSpan(0, w * h * Frame.Bands), grey.AsSpan(0, w * h));
            var smooth = new GrayImage(width, height, MatchBench.Room(ref room, width * height));
            for (int row = 0; row < height; row++)
            {
                SmoothDown(grey.AsSpan(row * w, (2 * Reach + 1) * w), w, columns.AsSpan(0, w));
                SmoothAcross(columns.AsSpan(0, w), smooth.Pixels.AsSpan(row * width, width));
            }
            return smooth;
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(rgb);
            ArrayPool<float>.Shared.Return(grey);
            ArrayPool<float>.Shared.Return(columns);
        }
    }

    // Sums are whole numbers.
    private static void ToGrey(ReadOnlySpan<ushort> rgb, Span<float> grey)
    {
        int i = 0;
        // What is loaded with the last pixel's blue reaches into the pixel behind it.
        for (; i < grey.Length - Interleaved.Pixels; i += Interleaved.Pixels)
        {
            ReadOnlySpan<ushort> from = rgb[(i * Frame.Bands)..];
            Vector256<uint> red = Widened(from), green = Widened(from[1..]), blue = Widened(from[2..]);
            (Vector256.ConvertToSingle((red + green + green + blue).AsInt32()) * 0.25f).CopyTo(grey[i..]);
        }
        for (int s = i * Frame.Bands; i < grey.Length; i++, s += Frame.Bands)
            grey[i] = (rgb[s] + 2 * rgb[s + 1] + rgb[s + 2]) * 0.25f;
    }

    private static Vector256<uint> Widened(ReadOnlySpan<ushort> samples)
    {
        (Vector128<uint> lower, Vector128<uint> upper) = Vector128.Widen(Interleaved.Load(samples));
        return Vector256.Create(lower, upper);
    }

    private static void SmoothDown(ReadOnlySpan<float> rows, int width, Span<float> result)
    {
        ReadOnlySpan<float> a = rows[..width], b = rows.Slice(width, width), c = rows.Slice(2 * width, width), d = rows.Slice(3 * width, width), e = rows.Slice(4 * width, width);
        int i = 0;
        for (; i <= width - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> sum = new Vector<float>(c[i..]) * Middle + (new Vector<float>(b[i..]) + new Vector<float>(d[i..])) * Near + (new Vector<float>(a[i..]) + new Vector<float>(e[i..])) * Far;
            sum.CopyTo(result[i..]);
        }
        for (; i < width; i++)
            result[i] = c[i] * Middle + (b[i] + d[i]) * Near + (a[i] + e[i]) * Far;
    }

    private static void SmoothAcross(ReadOnlySpan<float> row, Span<float> result)
    {
        int i = 0;
        for (; i <= result.Length - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> sum = new Vector<float>(row[(i + 2)..]) * Middle + (new Vector<float>(row[(i + 1)..]) + new Vector<float>(row[(i + 3)..])) * Near
                + (new Vector<float>(row[i..]) + new Vector<float>(row[(i + 4)..])) * Far;
            sum.CopyTo(result[i..]);
        }
        for (; i < result.Length; i++)
            result[i] = row[i + 2] * Middle + (row[i + 1] + row[i + 3]) * Near + (row[i] + row[i + 4]) * Far;
    }
}
