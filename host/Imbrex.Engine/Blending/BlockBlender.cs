using System.Numerics.Tensors;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Blends one block of the canvas at a time: frames are joined band by band (Burt and Adelson 1983) along the seams. A block with its
/// apron gives the same values as the whole canvas would. One instance for each worker; it holds the worker's scratch memory.
/// </summary>
/// <remarks>
/// The bands are linear in the pictures and the masks sum to 1, so the joined picture is the first frame's plus, for every other frame, the
/// bands of its difference from the first under its own mask: one pyramid fewer than the textbook's, and none where only one frame shows.
/// </remarks>
internal sealed class BlockBlender
{
    private readonly SeamMap _seams;
    private readonly IReadOnlyList<FrameSampler> _samplers;
    private readonly int _levels;
    private readonly int _bands;
    private readonly int _size;
    private readonly byte[] _labels;
    private readonly float[] _depths;
    private readonly float[] _hard, _line;
    private readonly float[][] _mask, _difference, _sum;
    private readonly List<float[]> _pictures = [];

    /// <summary>Prepares a worker.</summary>
    /// <param name="seams">Which frame shows where.</param>
    /// <param name="samplers">The frames on the canvas.</param>
    /// <param name="levels">Levels of the pyramid above the picture itself; 0 joins hard.</param>
    /// <param name="coreSide">Longest side of a block without apron, a multiple of 2^levels.</param>
    /// <param name="bands">3, or 4 with alpha.</param>
    public BlockBlender(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int coreSide, int bands)
    {
        (_seams, _samplers, _levels, _bands) = (seams, samplers, levels, bands);
        int side = coreSide + 2 * Pyramid.Reach(levels);
        _size = side * side;
        _labels = new byte[_size];
        _depths = new float[_size];
        _hard = new float[_size * Frame.Bands];
        _line = new float[side];
        float[][] Levels() => [.. Enumerable.Range(0, levels + 1).Select(level => new float[_size >> (2 * level)])];
        (_mask, _difference) = (Levels(), Levels());
        _sum = [.. Enumerable.Range(0, Frame.Bands).SelectMany(_ => Levels())];
    }

    /// <summary>Blends a block.</summary>
    /// <param name="core">The block; its origin is a multiple of 2^levels.</param>
    /// <param name="samples">Receives the block's interleaved samples.</param>
    public void Blend(CanvasArea core, Span<ushort> samples)
    {
        CanvasArea area = Aligned(core).Grown(Pyramid.Reach(_levels));
        if (_seams.Whole(area) is { } only)
        {
            _labels.AsSpan(0, core.Size).Fill((byte)only);
            SampleAll(core, [only]);
            Store(core, core, _pictures[0], samples);
            return;
        }
        _seams.Fill(area, _labels, _depths);
        IReadOnlyList<int> present = Present(_labels.AsSpan(0, area.Size));
        if (present.Count <= 1 || _levels == 0)
        {
            // Nothing to join here: the apron is not needed.
            area = core;
            _seams.Fill(area, _labels, _depths);
            present = Present(_labels.AsSpan(0, area.Size));
        }
        SampleAll(area, present);
        if (present.Count > 1 && _levels > 0)
            Join(area, present);
        Store(area, core, present.Count == 1 ? _pictures[0] : _hard, samples);
    }

    // Blocks at the canvas's right and bottom end where they please; the pyramid needs whole multiples.
    private CanvasArea Aligned(CanvasArea core)
    {
        int unit = 1 << _levels;
        return core with { Width = (core.Width + unit - 1) / unit * unit, Height = (core.Height + unit - 1) / unit * unit };
    }

    private static List<int> Present(ReadOnlySpan<byte> labels)
    {
        Span<bool> seen = stackalloc bool[256];
        foreach (byte label in labels)
            seen[label] = true;
        var present = new List<int>();
        for (int i = 0; i < SeamMap.None; i++)
        {
            if (seen[i])
                present.Add(i);
        }
        return present;
    }

    // Every frame present on its own, and the picture cut hard along the seams.
    private void SampleAll(CanvasArea area, IReadOnlyList<int> present)
    {
        Array.Clear(_hard, 0, area.Size * Frame.Bands);
        for (int k = 0; k < present.Count; k++)
        {
            if (k == _pictures.Count)
                _pictures.Add(new float[_size * Frame.Bands]);
            _samplers[present[k]].Sample(area, _pictures[k]);
            if (present.Count > 1)
                CutOut(area, present[k], _pictures[k]);
        }
    }

    private void CutOut(CanvasArea area, int frame, float[] picture)
    {
        ReadOnlySpan<byte> labels = _labels.AsSpan(0, area.Size);
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float> to = _hard.AsSpan(band * area.Size, area.Size);
            ReadOnlySpan<float> from = picture.AsSpan(band * area.Size, area.Size);
            for (int i = 0; i < labels.Length; i++)
            {
                if (labels[i] == frame)
                    to[i] = from[i];
            }
        }
    }

    // The joined picture replaces the hard one. Where a frame shows nothing of its own (beyond its edge), the hard picture stands in for
    // it, so that its pyramid carries no false edge.
    private void Join(CanvasArea area, IReadOnlyList<int> present)
    {
        foreach (float[] sum in _sum)
            Array.Clear(sum);
        for (int k = 0; k < present.Count; k++)
            StandIn(area, present[k], _pictures[k]);
        for (int k = 1; k < present.Count; k++)
            AddPicture(area, present[k], _pictures[k]);
        // What no frame shows has a mask too, or the first frame would take it, and which one is the first changes from block to block.
        if (_labels.AsSpan(0, area.Size).Contains(SeamMap.None))
            AddPicture(area, SeamMap.None, _hard);
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float[]> sums = _sum.AsSpan(band * (_levels + 1), _levels + 1);
            for (int level = _levels - 1; level >= 0; level--)
                Pyramid.AddExpanded(sums[level + 1], area.Width >> level, area.Height >> level, 1, sums[level], _line);
            TensorPrimitives.Add(_pictures[0].AsSpan(band * area.Size, area.Size), sums[0].AsSpan(0, area.Size), _hard.AsSpan(band * area.Size, area.Size));
        }
    }

    private void AddPicture(CanvasArea area, int label, float[] picture)
    {
        FillMask(area, label);
        for (int band = 0; band < Frame.Bands; band++)
        {
            ReadOnlySpan<float> first = _pictures[0].AsSpan(band * area.Size, area.Size), other = picture.AsSpan(band * area.Size, area.Size);
            TensorPrimitives.Subtract(other, first, _difference[0]);
            AddBands(area, _sum.AsSpan(band * (_levels + 1), _levels + 1));
        }
    }

    private void StandIn(CanvasArea area, int frame, float[] picture)
    {
        if (_seams.Covers(frame, area))
            return;
        _seams.MarkOutside(frame, area, _depths);
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float> own = picture.AsSpan(band * area.Size, area.Size);
            ReadOnlySpan<float> hard = _hard.AsSpan(band * area.Size, area.Size);
            for (int i = 0; i < own.Length; i++)
                own[i] = _depths[i] >= 0 ? own[i] : hard[i];
        }
    }

    private void FillMask(CanvasArea area, int label)
    {
        Span<float> mask = _mask[0].AsSpan(0, area.Size);
        for (int i = 0; i < mask.Length; i++)
            mask[i] = _labels[i] == label ? 1 : 0;
        for (int level = 0; level < _levels; level++)
            Pyramid.Reduce(_mask[level], area.Width >> level, area.Height >> level, _mask[level + 1], _line);
    }

    // Adds the difference's bands, each weighted by the mask at its own size.
    private void AddBands(CanvasArea area, Span<float[]> sums)
    {
        for (int level = 0; level < _levels; level++)
        {
            int width = area.Width >> level, height = area.Height >> level;
            Pyramid.Reduce(_difference[level], width, height, _difference[level + 1], _line);
            Pyramid.AddExpanded(_difference[level + 1], width, height, -1, _difference[level], _line);
            AddProduct(level, width * height, sums);
        }
        AddProduct(_levels, area.Size >> (2 * _levels), sums);
    }

    private void AddProduct(int level, int length, Span<float[]> sums)
    {
        Span<float> sum = sums[level].AsSpan(0, length);
        TensorPrimitives.MultiplyAdd(_difference[level].AsSpan(0, length), _mask[level].AsSpan(0, length), sum, sum);
    }

    private void Store(CanvasArea area, CanvasArea core, ReadOnlySpan<float> planes, Span<ushort> samples)
    {
        for (int row = 0; row < core.Height; row++)
        {
            int from = (core.Y - area.Y + row) * area.Width + core.X - area.X;
            Span<ushort> to = samples.Slice(row * core.Width * _bands, core.Width * _bands);
            for (int band = 0; band < Frame.Bands; band++)
            {
                ReadOnlySpan<float> line = planes.Slice(band * area.Size + from, core.Width);
                for (int column = 0, s = band; column < line.Length; column++, s += _bands)
                    to[s] = (ushort)(Math.Clamp(line[column], 0f, 65535f) + 0.5f);
            }
            ReadOnlySpan<byte> labels = _labels.AsSpan(from, core.Width);
            for (int column = 0; _bands > Frame.Bands && column < labels.Length; column++)
                MarkHole(labels[column] == SeamMap.None, to.Slice(column * _bands, _bands));
        }
    }

    private static void MarkHole(bool isHole, Span<ushort> pixel)
    {
        if (isHole)
            pixel.Clear();
        else
            pixel[^1] = ushort.MaxValue;
    }
}
