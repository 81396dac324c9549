using Imbrex.Engine.Intake;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Resampling;

namespace Imbrex.Engine.Blending;

/// <summary>One thread's memory for sampling frames.</summary>
internal sealed class SamplerBench
{
    private ushort[] _codes = [];
    private float[] _line = [];

    /// <summary>The resampler's memory.</summary>
    public TwoPassBench Passes { get; } = new();

    /// <summary>First of the frame's rows whose codes are held.</summary>
    public int FirstHeld { get; set; }

    /// <summary>Number of rows held.</summary>
    public int Held { get; set; }

    /// <summary>The row whose values are in the line.</summary>
    public int InLine { get; set; }

    /// <summary>At least so many codes.</summary>
    public ushort[] Codes(int length) => _codes.Length >= length ? _codes : _codes = new ushort[length];

    /// <summary>At least so many values.</summary>
    public float[] Line(int length) => _line.Length >= length ? _line : _line = new float[length];
}

/// <summary>Rows of a frame with its light evened out; beyond the frame's edge its outermost pixels are repeated.</summary>
internal readonly struct SourceRows : ISourceRows
{
    // A frame that stands on its side is read in larger pieces: each of its stored rows gives one column.
    private const int RowsAtOnceTurned = 256;

    private readonly Frame _frame;
    private readonly Evening _evening;
    private readonly SamplerBench _bench;
    private readonly int _left, _width, _end;
    private readonly int _first, _count, _atOnce;
    private readonly ushort[] _codes;
    private readonly float[] _line;

    /// <summary>Prepares part of a frame.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="evening">How its light is evened out.</param>
    /// <param name="left">First column, which may lie beyond the frame.</param>
    /// <param name="width">Columns.</param>
    /// <param name="end">No row from this one on will be asked for, unless it lies beyond the frame.</param>
    /// <param name="bench">The calling thread's memory.</param>
    public SourceRows(Frame frame, Evening evening, int left, int width, int end, SamplerBench bench)
    {
        (_frame, _evening, _left, _width, _end, _bench) = (frame, evening, left, width, end, bench);
        _first = Math.Clamp(left, 0, frame.Width - 1);
        _count = Math.Clamp(left + width - 1, 0, frame.Width - 1) - _first + 1;
        _atOnce = (frame.QuarterTurns & 1) == 0 ? 1 : RowsAtOnceTurned;
        _codes = bench.Codes(_count * _atOnce * Frame.Bands);
        _line = bench.Line(width * Frame.Bands);
        (bench.Held, bench.InLine) = (0, -1);
    }

    /// <inheritdoc/>
    public int Stride => _width;

    /// <inheritdoc/>
    public ReadOnlySpan<float> Row(int row)
    {
        int y = Math.Clamp(row, 0, _frame.Height - 1);
        if (_bench.InLine != y)
        {
            Fill(y, _line, _width);
            _bench.InLine = y;
        }
        return _line;
    }

    /// <summary>Writes a row elsewhere, with its own stride from plane to plane.</summary>
    public void Fill(int row, Span<float> target, int stride)
    {
        int y = Math.Clamp(row, 0, _frame.Height - 1);
        ReadOnlySpan<ushort> codes = CodesOf(y);
        int before = _first - _left;
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float> values = target.Slice(band * stride, _width);
            _evening.Row(codes[band..], band, _first - _frame.CentreX, y - _frame.CentreY, values.Slice(before, _count));
            values[..before].Fill(values[before]);
            values[(before + _count)..].Fill(values[before + _count - 1]);
        }
    }

    private ReadOnlySpan<ushort> CodesOf(int y)
    {
        if (y < _bench.FirstHeld || y >= _bench.FirstHeld + _bench.Held)
        {
            (_bench.FirstHeld, _bench.Held) = (y, Math.Clamp(_end - y, 1, Math.Min(_atOnce, _frame.Height - y)));
            _frame.ReadBlock(_first, y, _count, _bench.Held, _codes);
        }
        return _codes.AsSpan((y - _bench.FirstHeld) * _count * Frame.Bands, _count * Frame.Bands);
    }
}
