using System.Numerics;
using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Blends one block of the canvas at a time: frames are joined band by band (Burt and Adelson 1983) along the seams. A block with its
/// apron gives the same values as the whole canvas would. One instance for each worker; it holds the worker's scratch memory.
/// </summary>
internal sealed class BlockBlender
{
    private readonly SeamMap _seams;
    private readonly IReadOnlyList<FrameSampler> _samplers;
    private readonly int _levels;
    private readonly int _bands;
    private readonly byte[] _labels;
    private readonly float[] _depths;
    private readonly float[] _hard, _planes, _line;
    private readonly float[][] _mask, _picture, _sum;

    /// <summary>Prepares a worker.</summary>
    /// <param name="seams">Which frame shows where.</param>
    /// <param name="samplers">The frames on the canvas.</param>
    /// <param name="levels">Levels of the pyramid above the picture itself; 0 joins hard.</param>
    /// <param name="coreSide">Longest side of a block without apron, a multiple of 2^levels.</param>
    /// <param name="bands">3, or 4 with alpha.</param>
    public BlockBlender(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int coreSide, int bands)
    {
        (_seams, _samplers, _levels, _bands) = (seams, samplers, levels, bands);
        int side = coreSide + 2 * Pyramid.Reach(levels), size = side * side;
        _labels = new byte[size];
        _depths = new float[size];
        _hard = new float[size * Frame.Bands];
        _planes = new float[size * Frame.Bands];
        _line = new float[side];
        float[][] Levels() => [.. Enumerable.Range(0, levels + 1).Select(level => new float[size >> (2 * level)])];
        (_mask, _picture) = (Levels(), Levels());
        _sum = [.. Enumerable.Range(0, Frame.Bands).SelectMany(_ => Levels())];
    }

    /// <summary>Blends a block.</summary>
    /// <param name="core">The block; its origin is a multiple of 2^levels.</param>
    /// <param name="samples">Receives the block's interleaved samples.</param>
    public void Blend(CanvasArea core, Span<ushort> samples)
    {
        CanvasArea area = Aligned(core).Grown(Pyramid.Reach(_levels));
        _seams.Fill(area, _labels, _depths);
        IReadOnlyList<int> present = Present(_labels.AsSpan(0, area.Size));
        if (present.Count <= 1 || _levels == 0)
        {
            // Nothing to join here: the apron is not needed.
            _seams.Fill(core, _labels, _depths);
            ComposeHard(core, present, _hard);
            Store(core, core, _hard, samples);
            return;
        }
        ComposeHard(area, present, _hard);
        Join(area, present);
        Store(area, core, _hard, samples);
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

    private void ComposeHard(CanvasArea area, IReadOnlyList<int> present, float[] target)
    {
        if (present.Count == 1)
        {
            _samplers[present[0]].Sample(area, target);
            return;
        }
        Array.Clear(target, 0, area.Size * Frame.Bands);
        foreach (int frame in present)
        {
            _samplers[frame].Sample(area, _planes);
            for (int band = 0; band < Frame.Bands; band++)
            {
                Span<float> to = target.AsSpan(band * area.Size, area.Size);
                ReadOnlySpan<float> from = _planes.AsSpan(band * area.Size, area.Size);
                for (int i = 0; i < area.Size; i++)
                {
                    if (_labels[i] == frame)
                        to[i] = from[i];
                }
            }
        }
    }

    // The joined picture replaces the hard one. Where a frame shows nothing of its own (beyond its edge), the hard picture stands in for
    // it, so that its pyramid carries no false edge.
    private void Join(CanvasArea area, IReadOnlyList<int> present)
    {
        foreach (float[] sum in _sum)
            Array.Clear(sum);
        foreach (int frame in present)
        {
            FillMask(area, frame, keeper: present[0]);
            _samplers[frame].Sample(area, _planes);
            _seams.MarkOutside(frame, area, _depths);
            for (int band = 0; band < Frame.Bands; band++)
            {
                ReadOnlySpan<float> own = _planes.AsSpan(band * area.Size, area.Size), hard = _hard.AsSpan(band * area.Size, area.Size);
                Span<float> picture = _picture[0].AsSpan(0, area.Size);
                for (int i = 0; i < picture.Length; i++)
                    picture[i] = _depths[i] >= 0 ? own[i] : hard[i];
                AddBands(area, _sum.AsSpan(band * (_levels + 1), _levels + 1));
            }
        }
        for (int band = 0; band < Frame.Bands; band++)
            Collapse(area, _sum.AsSpan(band * (_levels + 1), _levels + 1), _hard.AsSpan(band * area.Size, area.Size));
    }

    // Pixels that no frame shows belong to everybody's hard picture; the first frame present takes them, so that masks sum to 1.
    private void FillMask(CanvasArea area, int frame, int keeper)
    {
        Span<float> mask = _mask[0].AsSpan(0, area.Size);
        for (int i = 0; i < mask.Length; i++)
            mask[i] = _labels[i] == frame || (_labels[i] == SeamMap.None && frame == keeper) ? 1 : 0;
        for (int level = 0; level < _levels; level++)
            Pyramid.Reduce(_mask[level], area.Width >> level, area.Height >> level, _mask[level + 1], _line);
    }

    // Adds the picture's bands, each weighted by the mask at its own size.
    private void AddBands(CanvasArea area, Span<float[]> sums)
    {
        for (int level = 0; level < _levels; level++)
        {
            int width = area.Width >> level, height = area.Height >> level;
            Pyramid.Reduce(_picture[level], width, height, _picture[level + 1], _line);
            Pyramid.AddExpanded(_picture[level + 1], width, height, -1, _picture[level], _line);
            AddProduct(_picture[level].AsSpan(0, width * height), _mask[level], sums[level]);
        }
        AddProduct(_picture[_levels].AsSpan(0, area.Size >> (2 * _levels)), _mask[_levels], sums[_levels]);
    }

    private void Collapse(CanvasArea area, Span<float[]> sums, Span<float> target)
    {
        for (int level = _levels - 1; level >= 0; level--)
            Pyramid.AddExpanded(sums[level + 1], area.Width >> level, area.Height >> level, 1, sums[level], _line);
        sums[0].AsSpan(0, area.Size).CopyTo(target);
    }

    private static void AddProduct(ReadOnlySpan<float> a, ReadOnlySpan<float> b, Span<float> sum)
    {
        int i = 0;
        for (; i <= a.Length - Vector<float>.Count; i += Vector<float>.Count)
            (new Vector<float>(sum[i..]) + new Vector<float>(a[i..]) * new Vector<float>(b[i..])).CopyTo(sum[i..]);
        for (; i < a.Length; i++)
            sum[i] += a[i] * b[i];
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
