using Imbrex.Engine.Intake;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Blending;

/// <summary>
/// One of the frames that meet in an area, halved while it is sampled: only the rows that a row of the half is made of are held at full size. Holds memory for
/// one area at a time.
/// </summary>
internal sealed class HalvedFrame
{
    // A power of two, and no fewer than the five rows under the kernel.
    private const int RowsHeld = 8;

    private readonly SamplerBench _bench = new();
    private readonly float[] _held, _half, _line;
    private ITargetRows? _rows;
    private CanvasArea _area;
    private bool _halves;

    /// <summary>Prepares memory.</summary>
    /// <param name="side">Longest side of an area.</param>
    public HalvedFrame(int side) => (_held, _half, _line) = (new float[RowsHeld * side * Frame.Bands], new float[side * side / 4 * Frame.Bands], new float[side]);

    /// <summary>Begins with an area; its rows follow in order.</summary>
    /// <param name="sampler">The frame.</param>
    /// <param name="area">The area; its sides are even.</param>
    /// <param name="halves">Whether the half is wanted.</param>
    public void Begin(FrameSampler sampler, CanvasArea area, bool halves) => (_rows, _area, _halves) = (sampler.Rows(area, _bench), area, halves);

    /// <summary>Samples the next row.</summary>
    /// <param name="row">The row, counted from the area's first.</param>
    public ReadOnlySpan<float> Sample(int row)
    {
        _rows!.FillRow(row, Row(row), _area.Width);
        return Row(row);
    }

    /// <summary>One of the last rows sampled, its three channels one behind the other; to be changed where something else stands in for the frame.</summary>
    public Span<float> Row(int row) => _held.AsSpan(row % RowsHeld * _area.Width * Frame.Bands, _area.Width * Frame.Bands);

    /// <summary>Goes on halving, now that a row will not change any more.</summary>
    /// <param name="row">The row.</param>
    public void Halve(int row)
    {
        int last = _area.Height - 1;
        if (row == last)
            _rows = null;
        // A row of the half is made of two rows above and below the one under it.
        int middle = row == last ? last - 1 : row - 2;
        if (!_halves || middle < 0 || middle % 2 != 0)
            return;
        ReadOnlySpan<float> above2 = Row(Math.Max(middle - 2, 0)), above1 = Row(Math.Max(middle - 1, 0)), here = Row(middle);
        ReadOnlySpan<float> below1 = Row(middle + 1), below2 = Row(Math.Min(middle + 2, last));
        int width = _area.Width, half = width / 2;
        for (int band = 0; band < Frame.Bands; band++)
        {
            int at = band * width;
            Pyramid.ReduceRows(above2.Slice(at, width), above1.Slice(at, width), here.Slice(at, width), below1.Slice(at, width), below2.Slice(at, width),
                _half.AsSpan(band * _area.Size / 4 + middle / 2 * half, half), _line);
        }
    }

    /// <summary>The half: three channels of a quarter of the area's pixels, complete when the last row has been halved.</summary>
    public Span<float> Half => _half.AsSpan(0, _area.Size / 4 * Frame.Bands);

    /// <summary>Takes the half of a picture that is there already.</summary>
    /// <param name="picture">Three channels of the area's size.</param>
    /// <param name="area">The area.</param>
    public void HalveWhole(ReadOnlySpan<float> picture, CanvasArea area)
    {
        _area = area;
        int quarter = area.Size / 4;
        for (int band = 0; band < Frame.Bands; band++)
            Pyramid.Reduce(picture.Slice(band * area.Size, area.Size), area.Width, area.Height, _half.AsSpan(band * quarter, quarter), _line);
    }
}
