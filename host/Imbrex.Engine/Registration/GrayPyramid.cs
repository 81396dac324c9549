using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// A frame in grey at reduced sizes, for the coarse search: level k is the frame averaged over 2^k x 2^k pixels. Level k's pixel
/// (i, j) stands for upright position ((i + 0.5) * 2^k - 0.5, …).
/// </summary>
internal sealed class GrayPyramid
{
    /// <summary>The finest reduced level: 4 x 4 pixels.</summary>
    public const int FinestLevel = 2;

    private readonly GrayImage[] _levels;

    private GrayPyramid(GrayImage[] levels) => _levels = levels;

    /// <summary>The grey picture of a level, <see cref="FinestLevel"/> or coarser.</summary>
    public GrayImage this[int level] => _levels[level - FinestLevel];

    /// <summary>Reads a frame once, in bands, and reduces it.</summary>
    public static GrayPyramid Of(Frame frame, int coarsestLevel, CancellationToken cancellation)
    {
        const int Factor = 1 << FinestLevel;
        var finest = new GrayImage(frame.Width / Factor, frame.Height / Factor);
        const int BandRows = 16;
        var band = new ushort[frame.Width * BandRows * Factor * Frame.Bands];
        for (int top = 0; top < finest.Height; top += BandRows)
        {
            cancellation.ThrowIfCancellationRequested();
            int rows = Math.Min(BandRows, finest.Height - top);
            frame.ReadBlock(0, top * Factor, frame.Width, rows * Factor, band);
            for (int row = 0; row < rows; row++)
                ReduceRow(band, frame.Width, row * Factor, finest.Pixels.AsSpan((top + row) * finest.Width, finest.Width));
        }
        var levels = new List<GrayImage> { finest };
        while (levels.Count <= coarsestLevel - FinestLevel)
            levels.Add(Halved(levels[^1]));
        return new([.. levels]);
    }

    // Grey is (R + 2 G + B) / 4 of the encoded values: where most of the detail and least of the noise is.
    private static void ReduceRow(ReadOnlySpan<ushort> band, int width, int firstRow, Span<float> target)
    {
        const int Factor = 1 << FinestLevel;
        for (int x = 0; x < target.Length; x++)
        {
            long sum = 0;
            for (int dy = 0; dy < Factor; dy++)
            {
                ReadOnlySpan<ushort> pixels = band.Slice(((firstRow + dy) * width + x * Factor) * Frame.Bands, Factor * Frame.Bands);
                for (int i = 0; i < pixels.Length; i += Frame.Bands)
                    sum += pixels[i] + 2 * pixels[i + 1] + pixels[i + 2];
            }
            target[x] = sum * (1f / (4 * Factor * Factor));
        }
    }

    private static GrayImage Halved(GrayImage source)
    {
        var half = new GrayImage(Math.Max(1, source.Width / 2), Math.Max(1, source.Height / 2));
        for (int y = 0; y < half.Height; y++)
        {
            ReadOnlySpan<float> upper = source.Row(Math.Min(2 * y, source.Height - 1)), lower = source.Row(Math.Min(2 * y + 1, source.Height - 1));
            for (int x = 0; x < half.Width; x++)
            {
                int right = Math.Min(2 * x + 1, source.Width - 1);
                half.Pixels[y * half.Width + x] = (upper[2 * x] + upper[right] + lower[2 * x] + lower[right]) / 4;
            }
        }
        return half;
    }
}
