using System.Numerics;

namespace Imbrex.Engine.Registration;

/// <summary>
/// Normalised cross-correlation of a block of one picture with another picture over a window of shifts. Where a shift pushes part of the
/// block over the other picture's edge, only the part that both show counts.
/// </summary>
/// <remarks>
/// The zero-mean normalised coefficient of Lewis, Fast Normalized Cross-Correlation (1995), from memory; computed directly, since windows are
/// a few pixels wide after the pyramid's reduction. Checked against a general-purpose library in the reference tests.
/// </remarks>
internal static class CrossCorrelation
{
    /// <summary>Least part of the block that must be shared for a shift to count.</summary>
    private const double LeastShare = 0.4;

    /// <summary>The best shift, refined below the pixel, and its coefficient.</summary>
    /// <param name="Dx">Shift of the block in the other picture, px.</param>
    /// <param name="Dy">Shift of the block in the other picture, px.</param>
    /// <param name="Coefficient">Correlation there, -1 to 1; 0 where nothing could be compared.</param>
    /// <param name="AtEdge">Whether the best shift lies on the window's edge, so that the true one may lie outside.</param>
    /// <param name="Bend">How sharply the coefficient falls off in all directions: the negated second derivatives, 1/px².</param>
    internal readonly record struct Peak(double Dx, double Dy, double Coefficient, bool AtEdge, Information Bend);

    /// <summary>Searches all whole shifts from -radius to radius about an offset.</summary>
    /// <param name="block">The picture that the block is cut from.</param>
    /// <param name="x">The block's first column.</param>
    /// <param name="y">The block's first row.</param>
    /// <param name="width">The block's columns.</param>
    /// <param name="height">The block's rows.</param>
    /// <param name="other">The picture searched.</param>
    /// <param name="offsetX">Column of <paramref name="other"/> that column 0 of <paramref name="block"/> is expected at.</param>
    /// <param name="offsetY">Row likewise.</param>
    /// <param name="radius">Half width of the window.</param>
    public static Peak Search(GrayImage block, int x, int y, int width, int height, GrayImage other, int offsetX, int offsetY, int radius)
    {
        int side = 2 * radius + 1;
        var surface = new double[side * side];
        for (int i = 0; i < surface.Length; i++)
            surface[i] = Coefficient(block, x, y, width, height, other, offsetX + i % side - radius, offsetY + i / side - radius);
        return PeakOf(surface, radius);
    }

    /// <summary>The peak of coefficients at all whole shifts from -radius to radius, row after row.</summary>
    public static Peak PeakOf(ReadOnlySpan<double> surface, int radius)
    {
        int side = 2 * radius + 1, best = 0;
        for (int i = 1; i < surface.Length; i++)
        {
            if (surface[i] > surface[best])
                best = i;
        }
        int bx = best % side, by = best / side;
        if (bx == 0 || by == 0 || bx == side - 1 || by == side - 1)
            return new(bx - radius, by - radius, surface[best], true, default);
        Information bend = Bend(surface, best, side);
        (double fx, double fy) = Vertex(surface, best, side, bend);
        return new(bx - radius + fx, by - radius + fy, surface[best], false, bend);
    }

    /// <summary>The coefficient at one shift; 0 where too little is shared or either side is flat.</summary>
    public static double Coefficient(GrayImage block, int x, int y, int width, int height, GrayImage other, int dx, int dy)
    {
        int left = Math.Max(x, -dx), right = Math.Min(x + width, other.Width - dx);
        int top = Math.Max(y, -dy), bottom = Math.Min(y + height, other.Height - dy);
        if (right <= left || bottom <= top || (right - left) * (double)(bottom - top) < LeastShare * width * height)
            return 0;
        // A value of each picture is taken off first, so that single precision does not cancel in the products, however dark the pictures.
        var sums = new Sums(block.Pixels[top * block.Width + left], other.Pixels[(top + dy) * other.Width + left + dx]);
        for (int row = top; row < bottom; row++)
            sums.Add(block.Row(row)[left..right], other.Row(row + dy)[(left + dx)..(right + dx)]);
        return sums.Coefficient((right - left) * (double)(bottom - top));
    }

    private static Information Bend(ReadOnlySpan<double> s, int at, int side) => new(
        2 * s[at] - s[at - 1] - s[at + 1],
        -(s[at + side + 1] + s[at - side - 1] - s[at + side - 1] - s[at - side + 1]) / 4,
        2 * s[at] - s[at - side] - s[at + side]);

    /// <summary>Where the quadratic surface through a whole maximum and its neighbours peaks, in steps from it.</summary>
    private static (double X, double Y) Vertex(ReadOnlySpan<double> s, int at, int side, Information bend)
    {
        double gx = (s[at + 1] - s[at - 1]) / 2, gy = (s[at + side] - s[at - side]) / 2, det = bend.Xx * bend.Yy - bend.Xy * bend.Xy;
        if (!(det > 1e-6 * (bend.Xx + bend.Yy) * (bend.Xx + bend.Yy)))
            return (0, 0);
        // A ridge that runs askew may well peak a little beyond half a pixel from the best whole shift.
        return (Math.Clamp((bend.Yy * gx - bend.Xy * gy) / det, -1, 1), Math.Clamp((bend.Xx * gy - bend.Xy * gx) / det, -1, 1));
    }

    private struct Sums(float originA, float originB)
    {
        private double _a, _b, _aa, _bb, _ab;

        public void Add(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
        {
            Vector<float> zeroA = new(originA), zeroB = new(originB);
            Vector<float> va = default, vb = default, vaa = default, vbb = default, vab = default;
            int i = 0;
            for (; i <= a.Length - Vector<float>.Count; i += Vector<float>.Count)
            {
                Vector<float> p = new Vector<float>(a[i..]) - zeroA, q = new Vector<float>(b[i..]) - zeroB;
                va += p;
                vb += q;
                vaa += p * p;
                vbb += q * q;
                vab += p * q;
            }
            double sa = Vector.Sum(va), sb = Vector.Sum(vb), saa = Vector.Sum(vaa), sbb = Vector.Sum(vbb), sab = Vector.Sum(vab);
            for (; i < a.Length; i++)
            {
                double p = a[i] - originA, q = b[i] - originB;
                sa += p;
                sb += q;
                saa += p * p;
                sbb += q * q;
                sab += p * q;
            }
            (_a, _b, _aa, _bb, _ab) = (_a + sa, _b + sb, _aa + saa, _bb + sbb, _ab + sab);
        }

        public readonly double Coefficient(double n)
        {
            double varianceA = _aa - _a * _a / n, varianceB = _bb - _b * _b / n;
            // Flatter than a hundredth of an 8-bit step: nothing to compare, and rounding would decide.
            double least = n * 2.57 * 2.57;
            return varianceA < least || varianceB < least ? 0 : (_ab - _a * _b / n) / Math.Sqrt(varianceA * varianceB);
        }
    }
}
