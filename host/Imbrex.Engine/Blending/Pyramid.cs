using System.Numerics;

namespace Imbrex.Engine.Blending;

/// <summary>
/// The two operators of the pyramid of Burt and Adelson (ACM TOG 2(4) 1983) with the kernel [1 4 6 4 1]/16: halve a picture, and
/// double it again. Sides are multiples of 2; beyond the rim the outermost pixels are repeated.
/// </summary>
internal static class Pyramid
{
    /// <summary>
    /// Pixels around a block that may influence it with so many levels: 2 (2^n - 1) on the way down and as much, with the Laplacian's own
    /// expansion, on the way up; rounded up to a multiple of 2^n so that blocks stay aligned with the full picture's pyramid.
    /// </summary>
    public static int Reach(int levels) => levels == 0 ? 0 : 5 << levels;

    /// <summary>Halves a picture.</summary>
    /// <param name="source">The picture.</param>
    /// <param name="width">Its columns, even.</param>
    /// <param name="height">Its rows, even.</param>
    /// <param name="target">Receives width/2 * height/2 values.</param>
    /// <param name="line">Scratch of at least <paramref name="width"/> values.</param>
    public static void Reduce(ReadOnlySpan<float> source, int width, int height, Span<float> target, Span<float> line)
    {
        int halfWidth = width / 2, halfHeight = height / 2;
        for (int y = 0; y < halfHeight; y++)
        {
            ReduceColumns(source, width, height, 2 * y, line[..width]);
            Span<float> half = target.Slice(y * halfWidth, halfWidth);
            for (int x = 0; x < halfWidth; x++)
            {
                int i = 2 * x;
                float before2 = line[Math.Max(i - 2, 0)], before1 = line[Math.Max(i - 1, 0)];
                float after1 = line[i + 1], after2 = line[Math.Min(i + 2, width - 1)];
                half[x] = (before2 + after2 + 4 * (before1 + after1) + 6 * line[i]) * (1f / 16);
            }
        }
    }

    /// <summary>Doubles a picture and adds it to another: target += factor * doubled.</summary>
    /// <param name="source">The small picture.</param>
    /// <param name="width">Columns of the target, even.</param>
    /// <param name="height">Rows of the target, even.</param>
    /// <param name="factor">+1 when collapsing, -1 when taking differences.</param>
    /// <param name="target">The large picture.</param>
    /// <param name="line">Scratch of at least <paramref name="width"/> values.</param>
    public static void AddExpanded(ReadOnlySpan<float> source, int width, int height, float factor, Span<float> target, Span<float> line)
    {
        int halfWidth = width / 2, halfHeight = height / 2;
        Span<float> between = line[..halfWidth];
        for (int y = 0; y < height; y++)
        {
            ReadOnlySpan<float> here = source.Slice(y / 2 * halfWidth, halfWidth);
            ReadOnlySpan<float> above = source.Slice(Math.Max(y / 2 - 1, 0) * halfWidth, halfWidth);
            ReadOnlySpan<float> below = source.Slice(Math.Min(y / 2 + 1, halfHeight - 1) * halfWidth, halfWidth);
            if ((y & 1) == 0)
                Weighted(above, here, below, 0.125f * factor, 0.75f * factor, 0.125f * factor, between);
            else
                Weighted(above, here, below, 0, 0.5f * factor, 0.5f * factor, between);
            Span<float> row = target.Slice(y * width, width);
            row[0] += 0.875f * between[0] + 0.125f * between[Math.Min(1, halfWidth - 1)];
            for (int x = 0; x < halfWidth - 1; x++)
            {
                row[2 * x + 1] += 0.5f * (between[x] + between[x + 1]);
                if (x > 0)
                    row[2 * x] += 0.125f * (between[x - 1] + between[x + 1]) + 0.75f * between[x];
            }
            int last = halfWidth - 1;
            if (last > 0)
                row[2 * last] += 0.125f * between[last - 1] + 0.875f * between[last];
            row[2 * last + 1] += between[last];
        }
    }

    private static void ReduceColumns(ReadOnlySpan<float> source, int width, int height, int y, Span<float> line)
    {
        ReadOnlySpan<float> above2 = source.Slice(Math.Max(y - 2, 0) * width, width), above1 = source.Slice(Math.Max(y - 1, 0) * width, width);
        ReadOnlySpan<float> here = source.Slice(y * width, width), below1 = source.Slice((y + 1) * width, width);
        ReadOnlySpan<float> below2 = source.Slice(Math.Min(y + 2, height - 1) * width, width);
        int x = 0;
        for (; x <= width - Vector<float>.Count; x += Vector<float>.Count)
        {
            Vector<float> outer = new Vector<float>(above2[x..]) + new Vector<float>(below2[x..]);
            Vector<float> inner = new Vector<float>(above1[x..]) + new Vector<float>(below1[x..]);
            ((outer + 4 * inner + 6 * new Vector<float>(here[x..])) * (1f / 16)).CopyTo(line[x..]);
        }
        for (; x < width; x++)
            line[x] = (above2[x] + below2[x] + 4 * (above1[x] + below1[x]) + 6 * here[x]) * (1f / 16);
    }

    private static void Weighted(ReadOnlySpan<float> a, ReadOnlySpan<float> b, ReadOnlySpan<float> c, float wa, float wb, float wc, Span<float> target)
    {
        int x = 0;
        for (; x <= target.Length - Vector<float>.Count; x += Vector<float>.Count)
            (wa * new Vector<float>(a[x..]) + wb * new Vector<float>(b[x..]) + wc * new Vector<float>(c[x..])).CopyTo(target[x..]);
        for (; x < target.Length; x++)
            target[x] = wa * a[x] + wb * b[x] + wc * c[x];
    }
}
