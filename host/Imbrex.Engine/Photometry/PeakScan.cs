using System.Buffers;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Photometry;

/// <summary>The largest codes of a frame, cell by cell.</summary>
internal static class PeakScan
{
    /// <summary>Side of a cell, px.</summary>
    public const int Cell = 64;

    private const int BlockSide = 8 * Cell;

    // The fewest samples after which whole vectors of interleaved R, G, B repeat their order: three vectors of 16.
    private const int Lanes = 16, Period = Frame.Bands * Lanes;

    /// <summary>Reads all of a frame once.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="visit">Receives each cell's first column and row, its width and height, and its largest codes (R, G, B).</param>
    public static void Run(Frame frame, Action<int, int, int, int, ushort[]> visit)
    {
        ushort[] codes = ArrayPool<ushort>.Shared.Rent(BlockSide * BlockSide * Frame.Bands);
        var largest = new ushort[Frame.Bands];
        for (int y = 0; y < frame.Height; y += BlockSide)
        {
            for (int x = 0; x < frame.Width; x += BlockSide)
            {
                int width = Math.Min(BlockSide, frame.Width - x), height = Math.Min(BlockSide, frame.Height - y);
                frame.ReadBlock(x, y, width, height, codes);
                for (int cellY = 0; cellY < height; cellY += Cell)
                {
                    for (int cellX = 0; cellX < width; cellX += Cell)
                    {
                        int columns = Math.Min(Cell, width - cellX), rows = Math.Min(Cell, height - cellY);
                        Largest(codes.AsSpan((cellY * width + cellX) * Frame.Bands), width, columns, rows, largest);
                        visit(x + cellX, y + cellY, columns, rows, largest);
                    }
                }
            }
        }
        ArrayPool<ushort>.Shared.Return(codes);
    }

    /// <summary>The largest codes of a cell.</summary>
    /// <param name="codes">Interleaved samples from the cell's first pixel on.</param>
    /// <param name="stride">Pixels from one row to the next.</param>
    /// <param name="columns">Pixels across.</param>
    /// <param name="rows">Pixels down.</param>
    /// <param name="largest">Receives three codes.</param>
    internal static void Largest(ReadOnlySpan<ushort> codes, int stride, int columns, int rows, Span<ushort> largest)
    {
        Vector256<ushort> m0 = default, m1 = default, m2 = default;
        largest.Clear();
        for (int row = 0; row < rows; row++)
        {
            ReadOnlySpan<ushort> line = codes.Slice(row * stride * Frame.Bands, columns * Frame.Bands);
            ref ushort first = ref MemoryMarshal.GetReference(line);
            int i = 0;
            for (; i <= line.Length - Period; i += Period)
            {
                m0 = Vector256.Max(m0, Vector256.LoadUnsafe(ref first, (nuint)i));
                m1 = Vector256.Max(m1, Vector256.LoadUnsafe(ref first, (nuint)(i + Lanes)));
                m2 = Vector256.Max(m2, Vector256.LoadUnsafe(ref first, (nuint)(i + 2 * Lanes)));
            }
            for (; i < line.Length; i++)
                largest[i % Frame.Bands] = Math.Max(largest[i % Frame.Bands], line[i]);
        }
        for (int lane = 0; lane < Lanes; lane++)
        {
            Raise(largest, lane, m0[lane]);
            Raise(largest, lane + Lanes, m1[lane]);
            Raise(largest, lane + 2 * Lanes, m2[lane]);
        }
    }

    private static void Raise(Span<ushort> largest, int sample, ushort code) => largest[sample % Frame.Bands] = Math.Max(largest[sample % Frame.Bands], code);
}
