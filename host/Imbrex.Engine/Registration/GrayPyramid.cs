using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// A frame in grey at reduced sizes, for the coarse search: level k is the frame averaged over 2^k x 2^k pixels. Level k's pixel
/// (i, j) stands for upright position ((i + 0.5) * 2^k - 0.5, …).
/// </summary>
internal sealed class GrayPyramid : IReducedFrame
{
    /// <summary>The finest reduced level: 4 x 4 pixels.</summary>
    public const int FinestLevel = 2;

    private const int Factor = 1 << FinestLevel;

    // Rows read at a time, a multiple of the factor.
    private const int BandRows = 16 * Factor;

    private readonly List<GrayImage> _levels;

    private GrayPyramid(Frame frame, int coarsestLevel, FileHash? hash, CancellationToken cancellation)
    {
        _levels = [ReadFinest(frame, hash, cancellation)];
        while (_levels.Count <= coarsestLevel - FinestLevel)
            _levels.Add(Halved(_levels[^1]));
    }

    /// <summary>The grey picture of a level, <see cref="FinestLevel"/> or coarser.</summary>
    public GrayImage this[int level] => _levels[level - FinestLevel];

    IGreyPicture IReducedFrame.this[int level] => this[level];

    /// <summary>All levels, the finest first.</summary>
    public IReadOnlyList<GrayImage> Levels => _levels;

    /// <summary>Reads a frame once, in bands, and reduces it.</summary>
    public static GrayPyramid Of(Frame frame, int coarsestLevel, CancellationToken cancellation) =>
        new(frame, coarsestLevel, null, cancellation);

    /// <summary>Reduces a frame and hashes its file; where the file holds the frame's rows, both in one reading.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="path">The file that the frame comes from.</param>
    /// <param name="coarsestLevel">The last level.</param>
    /// <param name="cancellation">Cancels the reading.</param>
    public static (GrayPyramid Pyramid, string Hash) WithHash(Frame frame, string path, int coarsestLevel, CancellationToken cancellation)
    {
        using var hash = new FileHash(path);
        bool together = frame.LiesIn(path);
        if (together)
            hash.AppendTo(frame.PixelsAt, cancellation);
        var pyramid = new GrayPyramid(frame, coarsestLevel, together ? hash : null, cancellation);
        hash.AppendTo(long.MaxValue, cancellation);
        return (pyramid, hash.Finish());
    }

    // Rows are read as they are stored, and the small picture is turned. Its pixels are counted from the upright frame's first corner: where that is the
    // last of the stored rows or columns, what is left over when they are divided by four lies before the first.
    private static GrayImage ReadFinest(Frame frame, FileHash? hash, CancellationToken cancellation)
    {
        int width = frame.StoredWidth, height = frame.StoredHeight;
        int left = frame.QuarterTurns is 2 or 3 ? width % Factor : 0, top = frame.QuarterTurns is 1 or 2 ? height % Factor : 0;
        var stored = new GrayImage(width / Factor, height / Factor);
        int rowSamples = width * Frame.Bands, done = 0;
        var band = new ushort[(BandRows + Factor - 1) * rowSamples];
        var sums = new uint[rowSamples];
        for (int first = 0, end; first < height; first = end)
        {
            cancellation.ThrowIfCancellationRequested();
            end = Math.Min(height, first == 0 ? top + BandRows : first + BandRows);
            Span<ushort> rows = band.AsSpan(0, (end - first) * rowSamples);
            frame.ReadStoredRows(first, rows);
            hash?.Append(MemoryMarshal.AsBytes(rows));
            for (; done < stored.Height && top + (done + 1) * Factor <= end; done++)
                ReduceRows(rows.Slice((top + done * Factor - first) * rowSamples, Factor * rowSamples), sums, left, stored.Pixels.AsSpan(done * stored.Width, stored.Width));
        }
        return Turned(stored, frame.QuarterTurns);
    }

    // Grey is (R + 2 G + B) / 4 of the encoded values: where most of the detail and least of the noise is. All sums are whole numbers.
    private static void ReduceRows(ReadOnlySpan<ushort> rows, Span<uint> sums, int left, Span<float> target)
    {
        int length = sums.Length, i = 0;
        for (; i <= length - Vector256<ushort>.Count; i += Vector256<ushort>.Count)
        {
            (Vector256<uint> low, Vector256<uint> high) = (Vector256<uint>.Zero, Vector256<uint>.Zero);
            for (int row = 0; row < Factor; row++)
            {
                (Vector256<uint> lower, Vector256<uint> upper) = Vector256.Widen(Vector256.Create(rows[(row * length + i)..]));
                (low, high) = (low + lower, high + upper);
            }
            low.CopyTo(sums[i..]);
            high.CopyTo(sums[(i + Vector256<uint>.Count)..]);
        }
        for (; i < length; i++)
            sums[i] = (uint)(rows[i] + rows[length + i] + rows[2 * length + i] + rows[3 * length + i]);
        for (int x = 0; x < target.Length; x++)
        {
            ReadOnlySpan<uint> s = sums.Slice((left + x * Factor) * Frame.Bands, Factor * Frame.Bands);
            uint greens = s[1] + s[4] + s[7] + s[10], others = s[0] + s[2] + s[3] + s[5] + s[6] + s[8] + s[9] + s[11];
            target[x] = (others + 2 * greens) * (1f / (4 * Factor * Factor));
        }
    }

    private static GrayImage Turned(GrayImage stored, int quarterTurns)
    {
        if (quarterTurns == 0)
            return stored;
        (int w, int h) = (stored.Width, stored.Height);
        var upright = (quarterTurns & 1) == 0 ? new GrayImage(w, h) : new GrayImage(h, w);
        for (int y = 0; y < upright.Height; y++)
        {
            for (int x = 0; x < upright.Width; x++)
            {
                (int column, int row) = quarterTurns switch { 1 => (y, h - 1 - x), 2 => (w - 1 - x, h - 1 - y), _ => (w - 1 - y, x) };
                upright.Pixels[y * upright.Width + x] = stored.Pixels[row * w + column];
            }
        }
        return upright;
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
