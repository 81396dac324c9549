using Imbrex.Sdk.Exports;

namespace Imbrex.Sdk.Tests.Exports;

/// <summary>A picture made on demand whose samples tell where they lie.</summary>
internal sealed class GreyRamp(int width, int height, int bands) : IMosaicImage
{
    public int Width => width;
    public int Height => height;
    public int Bands => bands;
    public ReadOnlyMemory<byte> IccProfile { get; init; }
    public double PixelsPerMm => 200;

    public static ushort Sample(int x, int y, int band) => (ushort)(x * 7 + y * 513 + band * 20011);

    public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
    {
        for (int row = 0, at = 0; row < height; row++)
        {
            for (int column = 0; column < width; column++)
            {
                for (int band = 0; band < bands; band++, at++)
                    samples[at] = Sample(x + column, y + row, band);
            }
        }
    }
}
