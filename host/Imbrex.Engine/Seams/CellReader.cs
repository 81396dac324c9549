using System.Buffers;
using System.Runtime.CompilerServices;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Reads what frames share with their neighbours, once and block by block, and averages it over the canvas's cells. Every band of a frame
/// is work of its own, so that the cells do not depend on the number of workers.
/// </summary>
internal sealed class CellReader
{
    /// <summary>Cell rows read together; a multiple of a patch's.</summary>
    private const int BandRows = 8;

    /// <summary>Most cells across that are read together.</summary>
    private const int MostAcross = 128;

    private readonly Frame[] _frames;
    private readonly FrameOutline[] _outlines;
    private readonly Evening[] _evenings;
    private readonly CellPicture[] _pictures;
    private readonly CellGrid _grid;

    private CellReader(Frame[] frames, FrameOutline[] outlines, Evening[] evenings, CellPicture[] pictures) =>
        (_frames, _outlines, _evenings, _pictures, _grid) = (frames, outlines, evenings, pictures, pictures[0].Cells.Grid);

    /// <summary>Reads all frames.</summary>
    /// <param name="frames">The pixels.</param>
    /// <param name="outlines">Where they lie.</param>
    /// <param name="evenings">How their light is evened out.</param>
    /// <param name="grid">The canvas's cells.</param>
    /// <param name="shelf">Keeps what has been read.</param>
    /// <param name="workers">Number of threads; has no influence on the result.</param>
    /// <param name="progress">Receives the done part.</param>
    /// <param name="cancellation">Cancels the work.</param>
    public static CellPicture[] Read(Frame[] frames, FrameOutline[] outlines, Evening[] evenings, CellGrid grid, CellShelf shelf, int workers, IProgress<double> progress,
        CancellationToken cancellation)
    {
        CellPicture[] pictures = [.. outlines.Select(outline => new CellPicture(new FrameCells(outline, grid), shelf))];
        var reader = new CellReader(frames, outlines, evenings, pictures);
        (int Frame, int Band)[] work = [.. from frame in Enumerable.Range(0, frames.Length)
                                           let cells = pictures[frame].Cells
                                           where cells.LastRow >= cells.FirstRow
                                           from band in Enumerable.Range(cells.FirstRow / BandRows, cells.LastRow / BandRows - cells.FirstRow / BandRows + 1)
                                           select (frame, band)];
        int done = 0;
        int[] left = new int[frames.Length];
        foreach ((int frame, _) in work)
            left[frame]++;
        WorkerCrew.Run(workers, work.Length, () => 0, (_, i) =>
        {
            int frame = work[i].Frame;
            pictures[frame].Prepare();
            reader.ReadBand(frame, work[i].Band);
            if (Interlocked.Decrement(ref left[frame]) == 0)
            {
                evenings[frame].Rest();
                shelf.Put(pictures[frame]);
            }
            progress.Report(Interlocked.Increment(ref done) / (double)work.Length);
        }, cancellation);
        return pictures;
    }

    private void ReadBand(int frame, int band)
    {
        foreach (CellSpan part in SharedParts(frame, band))
        {
            for (int first = part.First; first <= part.Last; first += MostAcross)
                ReadPart(frame, band, new(first, Math.Min(first + MostAcross - 1, part.Last)));
        }
    }

    // Columns of a band in which another frame shows something too, without overlap, from left to right.
    private List<CellSpan> SharedParts(int frame, int band)
    {
        CellSpan own = Widest(frame, band);
        var parts = new List<CellSpan>();
        foreach (CellSpan shared in Enumerable.Range(0, _pictures.Length).Where(other => other != frame).Select(other => own.And(Widest(other, band)))
                     .Where(span => !span.IsEmpty).OrderBy(span => span.First))
        {
            if (parts.Count > 0 && shared.First <= parts[^1].Last + 1)
                parts[^1] = parts[^1] with { Last = Math.Max(parts[^1].Last, shared.Last) };
            else
                parts.Add(shared);
        }
        return parts;
    }

    private CellSpan Widest(int frame, int band)
    {
        var widest = new CellSpan(int.MaxValue, -1);
        for (int row = band * BandRows; row < (band + 1) * BandRows; row++)
        {
            CellSpan span = _pictures[frame].Cells.Touched(row);
            if (!span.IsEmpty)
                widest = new(Math.Min(widest.First, span.First), Math.Max(widest.Last, span.Last));
        }
        return widest;
    }

    private void ReadPart(int frame, int band, CellSpan part)
    {
        (int left, int top, int width, int height) = SourceBox(frame, band, part);
        if (width <= 0 || height <= 0)
            return;
        ushort[] samples = ArrayPool<ushort>.Shared.Rent((width * height + width) * Frame.Bands + CellKernel.Padding);
        try
        {
            _frames[frame].ReadBlock(left, top, width, height, samples);
            FrameCells cells = _pictures[frame].Cells;
            for (int row = Math.Max(band * BandRows, cells.FirstRow); row <= Math.Min((band + 1) * BandRows - 1, cells.LastRow); row++)
            {
                ReadRow(frame, cells.Whole(row).And(part), row, samples, left, top, width);
            }
        }
        finally
        {
            ArrayPool<ushort>.Shared.Return(samples);
        }
    }

    // The pixels under a part of a band, with those that interpolation needs beside them.
    private (int Left, int Top, int Width, int Height) SourceBox(int frame, int band, CellSpan part)
    {
        Frame pixels = _frames[frame];
        double left = double.PositiveInfinity, top = double.PositiveInfinity, right = double.NegativeInfinity, bottom = double.NegativeInfinity;
        foreach ((int column, int row) in new[] { (part.First, band * BandRows), (part.Last + 1, band * BandRows), (part.First, (band + 1) * BandRows), (part.Last + 1, (band + 1) * BandRows) })
        {
            (double x, double y) = _outlines[frame].ToFrame(column * _grid.Side, row * _grid.Side);
            (left, right) = (Math.Min(left, x), Math.Max(right, x));
            (top, bottom) = (Math.Min(top, y), Math.Max(bottom, y));
        }
        int x0 = Math.Max(0, (int)Math.Floor(left + pixels.CentreX) - 2), x1 = Math.Min(pixels.Width - 1, (int)Math.Ceiling(right + pixels.CentreX) + 2);
        int y0 = Math.Max(0, (int)Math.Floor(top + pixels.CentreY) - 2), y1 = Math.Min(pixels.Height - 1, (int)Math.Ceiling(bottom + pixels.CentreY) + 2);
        return (x0, y0, x1 - x0 + 1, y1 - y0 + 1);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void ReadRow(int frame, CellSpan span, int row, ReadOnlySpan<ushort> samples, int left, int top, int width)
    {
        double half = (_grid.Side - 1) / 2.0;
        FrameLine line = _outlines[frame].Row(half, row * _grid.Side + half);
        for (int column = span.First; column <= span.Last; column++)
        {
            (double dx, double dy) = line.At(column * _grid.Side);
            ReadCell(frame, column, row, dx, dy, samples, left, top, width);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void ReadCell(int frame, int column, int row, double dx, double dy, ReadOnlySpan<ushort> samples, int left, int top, int width)
    {
        Frame pixels = _frames[frame];
        int side = _grid.Side;
        double half = (side - 1) / 2.0;
        (int x, float right) = Place(dx + pixels.CentreX - half, pixels.Width - side);
        (int y, float down) = Place(dy + pixels.CentreY - half, pixels.Height - side);
        Span<float> means = stackalloc float[Frame.Bands];
        (float across, float below) = CellKernel.Measure(samples, ((y - top) * width + x - left) * Frame.Bands, width * Frame.Bands, side, right, down, means);
        CellPicture picture = _pictures[frame];
        int at = picture.At(column, row);
        Span<ushort> codes = [Rounded(means[0]), Rounded(means[1]), Rounded(means[2])];
        for (int band = 0; band < Frame.Bands; band++)
        {
            float evened = 0;
            _evenings[frame].Row(codes[band..], band, dx, dy, new Span<float>(ref evened));
            picture.Codes[band][at] = Rounded(evened);
        }
        // Detail grows with the codes as the light is raised: common encodings are nearly powers of light.
        float green = picture.Codes[1][at], gain = (green + 1) / (codes[1] + 1f), squared = gain * gain;
        AddDetail(ref picture.Patches[picture.PatchAt(column, row)], across * squared, below * squared, green);
    }

    private static void AddDetail(ref PatchDetail patch, float across, float down, float level)
    {
        patch.Quietest = patch.Cells == 0 ? across + down : Math.Min(patch.Quietest, across + down);
        patch.Across += across;
        patch.Down += down;
        patch.Level += level;
        patch.Cells++;
    }

    // The pixel at or before a place, and how far beyond it the place is; the last one that a cell fits behind has none.
    private static (int First, float Beyond) Place(double at, int last)
    {
        int first = Math.Clamp((int)Math.Floor(at), 0, Math.Max(last, 0));
        return (first, first >= last ? 0 : (float)Math.Clamp(at - first, 0, 1));
    }

    private static ushort Rounded(float code) => (ushort)(Math.Clamp(code, 0f, 65535f) + 0.5f);
}
