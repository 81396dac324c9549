using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Seams;

/// <summary>
/// Which frame shows at which canvas pixel: the one that the seams found say, where it covers the pixel; otherwise, and everywhere where no
/// seams were looked for, the one in which the product of the distances to its nearest upright and its nearest level edge is largest
/// there, so that seams run along the middle of what neighbours share.
/// </summary>
/// <remarks>
/// The plain distance to the nearest edge would not do: near the top of a row of tiles all are equally far from it, and the first tile
/// would show up to its very corner.
/// </remarks>
internal sealed class SeamMap
{
    /// <summary>Where no frame shows anything.</summary>
    public const byte None = byte.MaxValue;

    /// <summary>Most frames that a mosaic may have.</summary>
    public const int MostFrames = byte.MaxValue;

    private readonly FrameOutline[] _outlines;
    private readonly CellLabels? _found;
    private readonly HiddenPlaces? _hidden;

    /// <summary>The map of frames in their places.</summary>
    /// <param name="frames">All frames.</param>
    /// <param name="placements">Where they lie.</param>
    /// <param name="found">The seams found, or null for those along the middle.</param>
    public SeamMap(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, FoundSeams? found = null) =>
        (_outlines, _found, _hidden) = ([.. frames.Select((frame, i) => new FrameOutline(frame, placements[i]))], found?.Labels, found?.Hidden);

    /// <summary>Fills in the frame of every pixel of an area.</summary>
    /// <param name="area">The area; it may leave the canvas.</param>
    /// <param name="labels">Receives a frame's index, or <see cref="None"/>, row after row.</param>
    /// <param name="weights">Scratch of the same length.</param>
    public void Fill(CanvasArea area, Span<byte> labels, Span<float> weights)
    {
        if (_found is null)
        {
            FillMiddle(area, labels, weights);
            return;
        }
        for (int row = 0; row < area.Height; row++)
        {
            Span<byte> line = labels.Slice(row * area.Width, area.Width);
            _found.Fill(area.X, area.Y + row, line);
            Mend(area with { Y = area.Y + row, Height = 1 }, line, weights);
        }
    }

    /// <summary>Whether a frame may show something in an area.</summary>
    public bool Touches(int frame, CanvasArea area) => _outlines[frame].Touches(area);

    /// <summary>Whether every pixel of an area may be taken from a frame: it covers them, has enough light and nothing to hide there.</summary>
    public bool Covers(int frame, CanvasArea area) => _outlines[frame].Covers(area) && _outlines[frame].IsUsable(area) && _hidden?.Touch(frame, area) is not true;

    /// <summary>The one frame that shows at every pixel of an area, where that is plain without looking at each; otherwise null.</summary>
    public int? Whole(CanvasArea area)
    {
        if (_found is null)
            return WholeMiddle(area);
        return _found.Whole(area) is { } label && label != None && _outlines[label].Covers(area) ? label : null;
    }

    /// <summary>Writes how deep inside a frame every pixel of an area lies; negative outside, where the frame has too little light, and where it has something to hide.</summary>
    public void MarkOutside(int frame, CanvasArea area, Span<float> depths)
    {
        for (int row = 0; row < area.Height; row++)
        {
            Span<float> depth = depths.Slice(row * area.Width, area.Width);
            FrameLine line = _outlines[frame].Row(area.X, area.Y + row);
            for (int column = 0; column < depth.Length; column++)
                depth[column] = line.Depth(column) + FrameOutline.Tolerance;
            MarkDark(_outlines[frame].UsableSpan(area.Y + row), area.X, depth);
        }
        _hidden?.Mark(frame, area, depths);
    }

    private static void MarkDark((double First, double Last) usable, int left, Span<float> depth)
    {
        int first = (int)Math.Ceiling(Math.Clamp(usable.First - left, 0, depth.Length)), last = (int)Math.Floor(Math.Clamp(usable.Last - left, -1, depth.Length - 1));
        depth[..first].Fill(-1);
        depth[Math.Max(first, last + 1)..].Fill(-1);
    }

    // Where the frame of a run does not reach, the middle decides among those that do.
    private void Mend(CanvasArea line, Span<byte> labels, Span<float> weights)
    {
        for (int start = 0; start < labels.Length;)
        {
            byte label = labels[start];
            int length = labels[start..].IndexOfAnyExcept(label);
            length = length < 0 ? labels.Length - start : length;
            CanvasArea run = line with { X = line.X + start, Width = length };
            if (label == None || !_outlines[label].Covers(run))
                MendRun(label, run, labels.Slice(start, length), weights);
            start += length;
        }
    }

    private void MendRun(byte label, CanvasArea run, Span<byte> labels, Span<float> weights)
    {
        FillMiddle(run, labels, weights);
        if (label == None)
            return;
        FrameLine row = _outlines[label].Row(run.X, run.Y);
        for (int column = 0; column < labels.Length; column++)
        {
            if (row.Depth(column) > -FrameOutline.Tolerance)
                labels[column] = label;
        }
    }

    private void FillMiddle(CanvasArea area, Span<byte> labels, Span<float> weights)
    {
        labels[..area.Size].Fill(None);
        weights[..area.Size].Clear();
        for (int i = 0; i < _outlines.Length; i++)
        {
            if (Touches(i, area))
                AddFrame(i, area, labels, weights);
        }
    }

    private void AddFrame(int frame, CanvasArea area, Span<byte> labels, Span<float> weights)
    {
        for (int row = 0; row < area.Height; row++)
        {
            FrameLine line = _outlines[frame].Row(area.X, area.Y + row);
            Span<byte> label = labels.Slice(row * area.Width, area.Width);
            Span<float> weight = weights.Slice(row * area.Width, area.Width);
            for (int column = 0; column < area.Width; column++)
            {
                float own = line.Weight(column);
                if (own > weight[column])
                {
                    weight[column] = own;
                    label[column] = (byte)frame;
                }
            }
        }
    }

    private int? WholeMiddle(CanvasArea area)
    {
        int best = -1;
        float least = 0;
        for (int i = 0; i < _outlines.Length; i++)
        {
            if (Touches(i, area) && Covers(i, area) && _outlines[i].LeastWeight(area) is var weight && weight > least)
                (best, least) = (i, weight);
        }
        for (int i = 0; i < _outlines.Length; i++)
        {
            if (best < 0 || (i != best && Touches(i, area) && _outlines[i].MostWeight(area) >= least))
                return null;
        }
        return best;
    }
}
