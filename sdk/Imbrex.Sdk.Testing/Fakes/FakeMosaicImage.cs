using Imbrex.Sdk.Exports;

namespace Imbrex.Sdk.Testing.Fakes;

/// <summary>
/// A picture of any size whose pixels are known and never held: each is computed when it is asked for. Counts what is asked. Safe to read from several threads.
/// </summary>
/// <param name="width">Pixels across.</param>
/// <param name="height">Pixels down.</param>
/// <param name="bands">3, or 4 with alpha.</param>
public sealed class FakeMosaicImage(int width, int height, int bands = 3) : IMosaicImage
{
    private long _largestBlock;
    private long _samplesRead;

    /// <inheritdoc/>
    public int Width { get; } = width;

    /// <inheritdoc/>
    public int Height { get; } = height;

    /// <inheritdoc/>
    public int Bands { get; } = bands;

    /// <inheritdoc/>
    public ReadOnlyMemory<byte> IccProfile { get; init; }

    /// <inheritdoc/>
    public double PixelsPerMm { get; init; } = 1 / 0.0043;

    /// <summary>The sample at a column, row and band; unless set, <see cref="Known"/>.</summary>
    public Func<int, int, int, ushort> Paint { get; init; } = Known;

    /// <summary>Called before every block with its first row: to cancel, to wait, or to throw as a damaged file would.</summary>
    public Action<int>? OnRead { get; init; }

    /// <summary>Samples of the largest block that was read.</summary>
    public long LargestBlock => Interlocked.Read(ref _largestBlock);

    /// <summary>Samples read in all, those read again included.</summary>
    public long SamplesRead => Interlocked.Read(ref _samplesRead);

    /// <summary>A pattern in which no two neighbours are alike, so that a row or a band too many shows; the fourth band is opaque but for a hole of 8 x 8 at the top left.</summary>
    public static ushort Known(int x, int y, int band) => band == 3 ? (ushort)(x < 8 && y < 8 ? 0 : 65535) : (ushort)(x * 31 + y * 977 + band * 13001);

    /// <summary>Slow slopes from dark to bright, for targets that make the picture smaller or pack it with loss.</summary>
    public static ushort Slopes(int x, int y, int band) => (ushort)(5000 + x * 20L % 40000 + y * 3L % 15000 + band * 500);

    /// <inheritdoc/>
    public void ReadBlock(int x, int y, int width, int height, Span<ushort> samples)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(x);
        ArgumentOutOfRangeException.ThrowIfNegative(y);
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(width, Width - x);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(height, Height - y);
        long count = (long)width * height * Bands;
        ArgumentOutOfRangeException.ThrowIfLessThan(samples.Length, count, nameof(samples));
        OnRead?.Invoke(y);
        CountIn(count);
        int at = 0;
        for (int row = y; row < y + height; row++)
        {
            for (int column = x; column < x + width; column++)
            {
                for (int band = 0; band < Bands; band++)
                    samples[at++] = Paint(column, row, band);
            }
        }
    }

    private void CountIn(long count)
    {
        Interlocked.Add(ref _samplesRead, count);
        long seen;
        while (count > (seen = LargestBlock) && Interlocked.CompareExchange(ref _largestBlock, count, seen) != seen)
        {
        }
    }
}
