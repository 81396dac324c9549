namespace Imbrex.Engine.Resampling;

/// <summary>
/// Samples planes under a projective map with <see cref="Kernel"/>: in two passes where the map hardly turns, as everywhere in a mosaic;
/// pixel by pixel otherwise.
/// </summary>
internal static class Resampler
{
    /// <summary>Fills a target.</summary>
    /// <param name="source">The source, with <see cref="Kernel.Margin"/> pixels around every sampled position.</param>
    /// <param name="target">The target; all its planes are filled.</param>
    /// <param name="map">From target to source pixels.</param>
    /// <param name="bench">The calling thread's memory.</param>
    public static void Resample(Planar source, Planar target, PlaneMap map, TwoPassBench bench)
    {
        if (!map.IsNearlyLevel)
        {
            PixelByPixel(source, target, map);
            return;
        }
        var pass = new TwoPass<PlanarRows>(new(source), map, target.Width, source.Width, source.Planes, bench);
        for (int row = 0; row < target.Height; row++)
            pass.FillRow(row, target.Pixels.AsSpan(row * target.Width), target.PlaneSize);
    }

    /// <inheritdoc cref="Resample(Planar, Planar, PlaneMap, TwoPassBench)"/>
    public static void Resample(Planar source, Planar target, PlaneMap map) => Resample(source, target, map, new());

    /// <summary>The slow way, for any map: the kernel across and down about every single position.</summary>
    public static void PixelByPixel(Planar source, Planar target, PlaneMap map)
    {
        Span<double> wx = stackalloc double[Kernel.Taps], wy = stackalloc double[Kernel.Taps];
        for (int i = 0; i < target.PlaneSize; i++)
        {
            (double x, double y) = map.At(i % target.Width, i / target.Width);
            double floorX = Math.Floor(x), floorY = Math.Floor(y);
            Kernel.Tabulated(x - floorX, wx);
            Kernel.Tabulated(y - floorY, wy);
            int first = ((int)floorY - (Kernel.Margin - 1)) * source.Width + (int)floorX - (Kernel.Margin - 1);
            for (int plane = 0; plane < source.Planes; plane++)
            {
                double sum = 0;
                for (int tap = 0; tap < Kernel.Taps; tap++)
                {
                    ReadOnlySpan<float> taps = source.Pixels.AsSpan(plane * source.PlaneSize + first + tap * source.Width, Kernel.Taps);
                    sum += wy[tap] * (wx[0] * taps[0] + wx[1] * taps[1] + wx[2] * taps[2] + wx[3] * taps[3] + wx[4] * taps[4] + wx[5] * taps[5]);
                }
                target.Pixels[plane * target.PlaneSize + i] = (float)sum;
            }
        }
    }

    private readonly struct PlanarRows(Planar source) : ISourceRows
    {
        public int Stride => source.PlaneSize;

        // Rows that only pixels beyond the target would need may lie beyond the source.
        public ReadOnlySpan<float> Row(int row) => source.Pixels.AsSpan(Math.Clamp(row, 0, source.Height - 1) * source.Width);
    }
}
