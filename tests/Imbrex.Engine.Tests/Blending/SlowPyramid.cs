namespace Imbrex.Engine.Tests.Blending;

/// <summary>The pyramid's operators as Burt and Adelson (ACM TOG 2(4) 1983) write them, in double precision, one pixel at a time.</summary>
internal static class SlowPyramid
{
    private static readonly double[] W = [1 / 16.0, 4 / 16.0, 6 / 16.0, 4 / 16.0, 1 / 16.0];

    public static double[] Reduce(double[] source, int width, int height)
    {
        var half = new double[width / 2 * (height / 2)];
        for (int i = 0; i < half.Length; i++)
        {
            int x = 2 * (i % (width / 2)), y = 2 * (i / (width / 2));
            for (int n = -2; n <= 2; n++)
            {
                for (int m = -2; m <= 2; m++)
                    half[i] += W[n + 2] * W[m + 2] * source[Math.Clamp(y + n, 0, height - 1) * width + Math.Clamp(x + m, 0, width - 1)];
            }
        }
        return half;
    }

    public static double[] Expand(double[] half, int width, int height)
    {
        var target = new double[width * height];
        for (int i = 0; i < target.Length; i++)
        {
            int x = i % width, y = i / width;
            for (int n = -2; n <= 2; n++)
            {
                for (int m = -2; m <= 2; m++)
                {
                    // Only where (x - m) / 2 is whole.
                    if (((x - m) & 1) == 0 && ((y - n) & 1) == 0)
                        target[i] += 4 * W[n + 2] * W[m + 2] * half[Math.Clamp((y - n) / 2, 0, height / 2 - 1) * (width / 2) + Math.Clamp((x - m) / 2, 0, width / 2 - 1)];
                }
            }
        }
        return target;
    }

    /// <summary>The textbook blend: every picture's bands under its own mask, added up and collapsed.</summary>
    public static double[] Blend(IReadOnlyList<double[]> pictures, IReadOnlyList<double[]> masks, int width, int height, int levels)
    {
        var sum = new double[levels + 1][];
        for (int level = 0; level <= levels; level++)
            sum[level] = new double[(width >> level) * (height >> level)];
        foreach ((double[] picture, double[] firstMask) in pictures.Zip(masks))
        {
            (double[] here, double[] mask) = (picture, firstMask);
            for (int level = 0; level <= levels; level++)
            {
                (int w, int h) = (width >> level, height >> level);
                double[]? next = level < levels ? Reduce(here, w, h) : null;
                double[]? back = next is null ? null : Expand(next, w, h);
                for (int i = 0; i < here.Length; i++)
                    sum[level][i] += mask[i] * (here[i] - (back?[i] ?? 0));
                if (next is not null)
                    (here, mask) = (next, Reduce(mask, w, h));
            }
        }
        for (int level = levels - 1; level >= 0; level--)
        {
            double[] back = Expand(sum[level + 1], width >> level, height >> level);
            for (int i = 0; i < back.Length; i++)
                sum[level][i] += back[i];
        }
        return sum[0];
    }
}
