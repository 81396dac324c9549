using Imbrex.Sdk.Exports;

namespace Imbrex.Plugins.Exports.Tests;

/// <summary>A picture made on demand, of any size, that counts what is asked of it.</summary>
internal sealed class PaintedImage(int width, int height, int bands, Func<int, int, int, ushort> paint) : IMosaicImage
{
    private int _largestBlock;

    public int Width => width;
    public int Height => height;
    public int Bands => bands;
    public ReadOnlyMemory<byte> IccProfile { get; init; }
    public double PixelsPerMm { get; init; } = 1 / 0.0043;

    /// <summary>Samples of the largest block that was read.</summary>
    public int LargestBlock => _largestBlock;

    /// <summary>Called with the first row of every block.</summary>
    public Action<int>? OnRead { get; init; }

    public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
    {
        OnRead?.Invoke(y);
        _largestBlock = Math.Max(_largestBlock, width * height * bands);
        for (int row = 0, at = 0; row < height; row++)
        {
            for (int column = 0; column < width; column++)
            {
                for (int band = 0; band < bands; band++, at++)
                    samples[at] = paint(x + column, y + row, band);
            }
        }
    }

    public static ushort Pattern(int x, int y, int band) => (ushort)(x * 31 + y * 977 + band * 13001);
}
