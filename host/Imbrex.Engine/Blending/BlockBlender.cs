using Imbrex.Engine.Intake;
using Imbrex.Engine.Resampling;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Blends one block of the canvas at a time: plain parts show one frame, the rest is joined along the seams (<see cref="Joiner"/>). A block
/// gives the same values as the whole canvas would. One instance for each worker; it holds the worker's memory.
/// </summary>
internal sealed class BlockBlender
{
    // Wider parts would push the resampler's rows out of the processor's cache.
    private const int WidestPlain = 1024;

    // From one channel of a row to the next; not a power of two, which would crowd the cache.
    private const int Stride = WidestPlain + 16;

    private readonly SeamMap _seams;
    private readonly IReadOnlyList<FrameSampler> _samplers;
    private readonly int _reach, _side, _bands;
    private readonly BlockParts _parts;
    private readonly Joiner _joiner;
    private readonly SamplerBench _bench = new();
    private readonly float[] _row = new float[Stride * Frame.Bands];

    /// <summary>Prepares a worker.</summary>
    /// <param name="seams">Which frame shows where.</param>
    /// <param name="samplers">The frames on the canvas.</param>
    /// <param name="levels">Levels of the pyramid above the picture itself; 0 joins hard.</param>
    /// <param name="side">Frames are joined in squares of this side, a multiple of <see cref="BlockParts.Cell"/>.</param>
    /// <param name="bands">3, or 4 with alpha.</param>
    public BlockBlender(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int side, int bands)
    {
        (_seams, _samplers, _side, _bands) = (seams, samplers, side, bands);
        _reach = Pyramid.Reach(levels);
        _parts = new(seams, _reach, side);
        _joiner = new(seams, samplers, levels, side, bands);
    }

    /// <summary>Blends a block.</summary>
    /// <param name="block">The block; its origin is a multiple of 2^levels.</param>
    /// <param name="samples">Receives the block's interleaved samples.</param>
    public void Blend(CanvasArea block, Span<ushort> samples)
    {
        for (int y = block.Y; y < block.Bottom; y += _side)
        {
            var plain = new CanvasArea(block.X, y, 0, Math.Min(_side, block.Bottom - y));
            byte shown = 0;
            for (int x = block.X; x < block.Right; x += _side)
            {
                var square = new CanvasArea(x, y, Math.Min(_side, block.Right - x), plain.Height);
                int? whole = _seams.Whole(square.Grown(_reach));
                if (whole is null || whole != shown)
                {
                    ShowPlain(plain, shown, block, samples);
                    plain = plain with { X = square.Right, Width = 0 };
                }
                if (whole is { } frame)
                    (plain, shown) = (plain with { X = square.Right - plain.Width - square.Width, Width = plain.Width + square.Width }, (byte)frame);
                else
                    Divided(square, block, samples);
            }
            ShowPlain(plain, shown, block, samples);
        }
    }

    private void Divided(CanvasArea square, CanvasArea block, Span<ushort> samples)
    {
        _parts.Divide(square);
        if (_parts.Joined.Size > 0)
            _joiner.Join(_parts, square, block, samples);
        foreach ((CanvasArea area, byte label) in _parts.Plain)
            ShowPlain(area, label, block, samples);
    }

    private void ShowPlain(CanvasArea area, byte label, CanvasArea block, Span<ushort> samples)
    {
        for (int x = area.X; x < area.Right; x += WidestPlain)
        {
            CanvasArea part = area with { X = x, Width = Math.Min(WidestPlain, area.Right - x) };
            if (label == SeamMap.None)
                Clear(part, block, samples);
            else
                Show(part, _samplers[label], block, samples);
        }
    }

    private void Show(CanvasArea area, FrameSampler sampler, CanvasArea block, Span<ushort> samples)
    {
        if (_bands == Frame.Bands && sampler.IsCopy(area))
        {
            for (int y = area.Y; y < area.Bottom; y++)
                sampler.Copy(area with { Y = y, Height = 1 }, Row(area, y, block, samples));
            return;
        }
        ITargetRows rows = sampler.Rows(area, _bench);
        for (int y = area.Y; y < area.Bottom; y++)
        {
            rows.FillRow(y - area.Y, _row, Stride);
            SampleRow.Store(_row, Stride, area.X, y, _bands, Row(area, y, block, samples));
        }
    }

    private void Clear(CanvasArea area, CanvasArea block, Span<ushort> samples)
    {
        for (int y = area.Y; y < area.Bottom; y++)
            Row(area, y, block, samples).Clear();
    }

    private Span<ushort> Row(CanvasArea area, int y, CanvasArea block, Span<ushort> samples) =>
        samples.Slice(((y - block.Y) * block.Width + area.X - block.X) * _bands, area.Width * _bands);
}
