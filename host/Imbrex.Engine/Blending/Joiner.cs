using System.Numerics.Tensors;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Blending;

/// <summary>Joins frames round their seams, band by band (Burt and Adelson 1983). Holds one worker's memory.</summary>
/// <remarks>
/// With P the frames' pictures, G1 their halves and L the finest band, P = L + E G1 where E doubles. The finest band's mask is the hard cut itself. The
/// joined picture is therefore the hard cut plus E (C - G1 of the frame that shows), where C is the joined G1: nothing of full size but the frames
/// themselves and their hard cut is needed. C in turn is the first frame's half plus, for every other frame, the bands of its difference from the first
/// under its own mask, for the masks sum to 1: one pyramid fewer than the textbook's.
/// </remarks>
internal sealed class Joiner
{
    private readonly SeamMap _seams;
    private readonly IReadOnlyList<FrameSampler> _samplers;
    private readonly int _levels;
    private readonly int _bands;
    private readonly int _side;
    private readonly float[] _hard, _line, _row;
    private readonly float[][] _mask, _difference, _sum;
    private readonly List<HalvedFrame> _frames = [];
    private readonly List<byte> _present = [];
    private readonly List<bool> _covers = [];
    private int _shown;

    /// <summary>Prepares a worker.</summary>
    /// <param name="seams">Which frame shows where.</param>
    /// <param name="samplers">The frames on the canvas.</param>
    /// <param name="levels">Levels of the pyramid above the picture itself; 0 joins hard.</param>
    /// <param name="side">Longest side of an area to be joined.</param>
    /// <param name="bands">3, or 4 with alpha.</param>
    public Joiner(SeamMap seams, IReadOnlyList<FrameSampler> samplers, int levels, int side, int bands)
    {
        (_seams, _samplers, _levels, _bands) = (seams, samplers, levels, bands);
        _side = (side + BlockParts.Cell - 1) / BlockParts.Cell * BlockParts.Cell + 2 * Pyramid.Reach(levels);
        int size = _side * _side;
        _hard = new float[size * Frame.Bands];
        _line = new float[_side];
        _row = new float[_side];
        float[][] Halves() => [.. Enumerable.Range(1, levels).Select(level => new float[size >> (2 * level)])];
        _mask = [new float[size], .. Halves()];
        _difference = [[], .. Halves()];
        _sum = [.. Enumerable.Range(0, Frame.Bands).SelectMany(_ => (float[][])[[], .. Halves()])];
    }

    /// <summary>Joins a rectangle.</summary>
    /// <param name="parts">The labels of the rectangle and its surroundings.</param>
    /// <param name="square">What was divided; nothing beyond it is stored.</param>
    /// <param name="block">The block that it is part of.</param>
    /// <param name="samples">The block's samples.</param>
    public void Join(BlockParts parts, CanvasArea square, CanvasArea block, Span<ushort> samples)
    {
        CanvasArea area = parts.Joined.Grown(Pyramid.Reach(_levels));
        FindPresent(parts, area);
        SampleAll(parts, area);
        bool joins = _levels > 0 && _present.Count > 1;
        if (joins)
            JoinHalves(parts, area);
        Store(parts, area, joins, square, block, samples);
    }

    // Frames in their order, what no frame shows last.
    private void FindPresent(BlockParts parts, CanvasArea area)
    {
        Span<bool> seen = stackalloc bool[byte.MaxValue + 1];
        seen.Clear();
        for (int y = area.Y; y < area.Bottom; y++)
        {
            foreach (LabelRun run in new LabelRuns(parts.Labels(area.X, y, area.Width)))
                seen[run.Label] = true;
        }
        _present.Clear();
        for (int label = 0; label < seen.Length; label++)
        {
            if (seen[label])
                _present.Add((byte)label);
        }
        _shown = _present.Count - (seen[SeamMap.None] ? 1 : 0);
        _covers.Clear();
        for (int k = 0; k < _shown; k++)
            _covers.Add(_seams.Covers(_present[k], area));
    }

    // The picture cut hard along the seams, and every present frame halved, row by row and all frames at once. Where a frame shows nothing of its own (beyond its
    // edge), the hard picture stands in for it, so that its pyramid carries no false edge.
    private void SampleAll(BlockParts parts, CanvasArea area)
    {
        while (_frames.Count < _present.Count)
            _frames.Add(new(_side));
        if (_present.Contains(SeamMap.None))
            Array.Clear(_hard, 0, area.Size * Frame.Bands);
        for (int k = 0; k < _shown; k++)
            _frames[k].Begin(_samplers[_present[k]], area, halves: _levels > 0);
        for (int row = 0; row < area.Height; row++)
        {
            for (int k = 0; k < _shown; k++)
                CutOut(parts.Labels(area.X, area.Y + row, area.Width), _present[k], _frames[k].Sample(row), row * area.Width, area.Size);
            for (int k = 0; k < _shown; k++)
            {
                if (!_covers[k])
                    StandIn(area, row, _present[k], _frames[k].Row(row));
                _frames[k].Halve(row);
            }
        }
        if (_shown < _present.Count && _levels > 0)
            _frames[_shown].HalveWhole(_hard, area);
    }

    private void CutOut(ReadOnlySpan<byte> labels, byte label, ReadOnlySpan<float> values, int at, int plane)
    {
        foreach (LabelRun run in new LabelRuns(labels))
        {
            for (int band = 0; band < Frame.Bands && run.Label == label; band++)
                values.Slice(band * labels.Length + run.Start, run.Length).CopyTo(_hard.AsSpan(band * plane + at + run.Start));
        }
    }

    private void StandIn(CanvasArea area, int row, int frame, Span<float> values)
    {
        Span<float> depths = _line.AsSpan(0, area.Width);
        _seams.MarkOutside(frame, area with { Y = area.Y + row, Height = 1 }, depths);
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float> own = values.Slice(band * area.Width, area.Width);
            ReadOnlySpan<float> hard = _hard.AsSpan(band * area.Size + row * area.Width, area.Width);
            for (int i = 0; i < own.Length; i++)
                own[i] = depths[i] >= 0 ? own[i] : hard[i];
        }
    }

    // Every half becomes what has to be added to its frame, at half size.
    private void JoinHalves(BlockParts parts, CanvasArea area)
    {
        int quarter = area.Size / 4;
        ReadOnlySpan<float> first = _frames[0].Half;
        foreach (float[] sum in _sum)
            Array.Clear(sum);
        for (int k = 1; k < _present.Count; k++)
        {
            Span<float> half = _frames[k].Half;
            TensorPrimitives.Subtract(half, first, half);
            FillMask(parts, area, _present[k]);
            for (int band = 0; band < Frame.Bands; band++)
            {
                half.Slice(band * quarter, quarter).CopyTo(_difference[1]);
                AddBands(area, _sum.AsSpan(band * (_levels + 1), _levels + 1));
            }
        }
        for (int band = 0; band < Frame.Bands; band++)
        {
            Span<float[]> sums = _sum.AsSpan(band * (_levels + 1), _levels + 1);
            for (int level = _levels - 1; level >= 1; level--)
                Pyramid.AddExpanded(sums[level + 1], area.Width >> level, area.Height >> level, 1, sums[level], _line);
            ReadOnlySpan<float> joined = sums[1].AsSpan(0, quarter);
            joined.CopyTo(_frames[0].Half[(band * quarter)..]);
            for (int k = 1; k < _present.Count; k++)
            {
                Span<float> half = _frames[k].Half.Slice(band * quarter, quarter);
                TensorPrimitives.Subtract(joined, half, half);
            }
        }
    }

    private void FillMask(BlockParts parts, CanvasArea area, byte label)
    {
        Span<float> mask = _mask[0].AsSpan(0, area.Size);
        mask.Clear();
        for (int row = 0; row < area.Height; row++)
        {
            foreach (LabelRun run in new LabelRuns(parts.Labels(area.X, area.Y + row, area.Width)))
            {
                if (run.Label == label)
                    mask.Slice(row * area.Width + run.Start, run.Length).Fill(1);
            }
        }
        for (int level = 0; level < _levels; level++)
            Pyramid.Reduce(_mask[level], area.Width >> level, area.Height >> level, _mask[level + 1], _line);
    }

    // Adds the difference's bands, each weighted by the mask at its own size.
    private void AddBands(CanvasArea area, Span<float[]> sums)
    {
        for (int level = 1; level < _levels; level++)
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

    private void Store(BlockParts parts, CanvasArea area, bool joins, CanvasArea square, CanvasArea block, Span<ushort> samples)
    {
        CanvasArea joined = parts.Joined;
        int right = Math.Min(joined.Right, square.Right), bottom = Math.Min(joined.Bottom, square.Bottom), width = right - joined.X;
        for (int y = joined.Y; y < bottom; y++)
        {
            int at = (y - area.Y) * area.Width + joined.X - area.X;
            if (joins)
                AddToRow(parts, area, y);
            Span<ushort> to = samples.Slice(((y - block.Y) * block.Width + joined.X - block.X) * _bands, width * _bands);
            SampleRow.Store(_hard.AsSpan(at), area.Size, joined.X, y, _bands, to);
            foreach (LabelRun run in new LabelRuns(parts.Labels(joined.X, y, width)))
            {
                if (run.Label == SeamMap.None)
                    to.Slice(run.Start * _bands, run.Length * _bands).Clear();
            }
        }
    }

    private void AddToRow(BlockParts parts, CanvasArea area, int y)
    {
        int quarter = area.Size / 4, halfWidth = area.Width / 2, halfHeight = area.Height / 2, done = -1;
        foreach (byte label in _present)
        {
            done++;
            ReadOnlySpan<byte> labels = parts.Labels(area.X, y, area.Width);
            if (!labels.Contains(label))
                continue;
            for (int band = 0; band < Frame.Bands; band++)
            {
                Span<float> row = _row.AsSpan(0, area.Width), hard = _hard.AsSpan(band * area.Size + (y - area.Y) * area.Width, area.Width);
                row.Clear();
                Pyramid.AddExpandedRow(_frames[done].Half.Slice(band * quarter, quarter), halfWidth, halfHeight, y - area.Y, 1, row, _line);
                foreach (LabelRun run in new LabelRuns(labels))
                {
                    if (run.Label == label)
                        TensorPrimitives.Add(hard.Slice(run.Start, run.Length), row.Slice(run.Start, run.Length), hard.Slice(run.Start, run.Length));
                }
            }
        }
    }
}
