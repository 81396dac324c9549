using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Blending;

/// <summary>
/// Which frame shows at which canvas pixel: the one in which the product of the distances to its nearest upright and its nearest level
/// edge is largest there, so that seams run along the middle of what neighbours share.
/// </summary>
/// <remarks>
/// The plain distance to the nearest edge would not do: near the top of a row of tiles all are equally far from it, and the first tile
/// would show up to its very corner.
/// </remarks>
/// <param name="frames">All frames.</param>
/// <param name="placements">Where they lie.</param>
internal sealed class SeamMap(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements)
{
    /// <summary>Where no frame shows anything.</summary>
    public const byte None = byte.MaxValue;

    // The outermost pixel centres lie on a frame's edge; rounding must not push them outside.
    private const float Tolerance = 1e-4f;

    /// <summary>Most frames that a mosaic may have.</summary>
    public const int MostFrames = byte.MaxValue;

    /// <summary>Fills in the frame of every pixel of an area.</summary>
    /// <param name="area">The area; it may leave the canvas.</param>
    /// <param name="labels">Receives a frame's index, or <see cref="None"/>, row after row.</param>
    /// <param name="weights">Scratch of the same length.</param>
    public void Fill(CanvasArea area, Span<byte> labels, Span<float> weights)
    {
        labels[..area.Size].Fill(None);
        weights[..area.Size].Clear();
        for (int i = 0; i < frames.Count; i++)
        {
            if (Touches(i, area))
                AddFrame(i, area, labels, weights);
        }
    }

    /// <summary>Whether a frame may show something in an area.</summary>
    public bool Touches(int frame, CanvasArea area)
    {
        Placement p = placements[frame];
        (double w, double h) = (frames[frame].Frame.CentreX, frames[frame].Frame.CentreY);
        double reachX = Math.Abs(Math.Cos(p.Angle)) * w + Math.Abs(Math.Sin(p.Angle)) * h;
        double reachY = Math.Abs(Math.Sin(p.Angle)) * w + Math.Abs(Math.Cos(p.Angle)) * h;
        return p.X + reachX >= area.X && p.X - reachX <= area.Right - 1 && p.Y + reachY >= area.Y && p.Y - reachY <= area.Bottom - 1;
    }

    /// <summary>Whether a frame shows every pixel of an area.</summary>
    public bool Covers(int frame, CanvasArea area)
    {
        // A frame is convex: its corners decide.
        Line top = LineOf(frame, area.X, area.Y), bottom = LineOf(frame, area.X, area.Bottom - 1);
        return top.Depth(0) >= 0 && top.Depth(area.Width - 1) >= 0 && bottom.Depth(0) >= 0 && bottom.Depth(area.Width - 1) >= 0;
    }

    /// <summary>The one frame that shows at every pixel of an area, where that is plain without looking at each; otherwise null.</summary>
    public int? Whole(CanvasArea area)
    {
        int best = -1;
        float least = 0;
        for (int i = 0; i < frames.Count; i++)
        {
            if (Touches(i, area) && Covers(i, area) && LeastWeight(i, area) is var weight && weight > least)
                (best, least) = (i, weight);
        }
        for (int i = 0; i < frames.Count; i++)
        {
            if (best < 0 || (i != best && Touches(i, area) && MostWeight(i, area) >= least))
                return null;
        }
        return best;
    }

    // The logarithm of the weight is concave inside the frame: its smallest value over a rectangle stands in a corner.
    private float LeastWeight(int frame, CanvasArea area)
    {
        Line top = LineOf(frame, area.X, area.Y), bottom = LineOf(frame, area.X, area.Bottom - 1);
        return Math.Min(Math.Min(top.Weight(0), top.Weight(area.Width - 1)), Math.Min(bottom.Weight(0), bottom.Weight(area.Width - 1)));
    }

    // No pixel of the area is nearer to the frame's middle than the area's middle less its half extent.
    private double MostWeight(int frame, CanvasArea area)
    {
        Placement p = placements[frame];
        double halfWidth = (area.Width - 1) / 2.0, halfHeight = (area.Height - 1) / 2.0;
        (double x, double y) = p.ToFrame(area.X + halfWidth, area.Y + halfHeight);
        (double sin, double cos) = (Math.Abs(Math.Sin(p.Angle)), Math.Abs(Math.Cos(p.Angle)));
        double nearX = Math.Max(0, Math.Abs(x) - cos * halfWidth - sin * halfHeight), nearY = Math.Max(0, Math.Abs(y) - sin * halfWidth - cos * halfHeight);
        double across = frames[frame].Frame.CentreX - nearX, down = frames[frame].Frame.CentreY - nearY;
        return across < -1 || down < -1 ? 0 : (across + 1) * (down + 1);
    }

    /// <summary>Writes how deep inside a frame every pixel of an area lies; negative outside.</summary>
    public void MarkOutside(int frame, CanvasArea area, Span<float> depths)
    {
        for (int row = 0; row < area.Height; row++)
        {
            Span<float> depth = depths.Slice(row * area.Width, area.Width);
            Line line = LineOf(frame, area.X, area.Y + row);
            for (int column = 0; column < depth.Length; column++)
                depth[column] = line.Depth(column) + Tolerance;
        }
    }

    private void AddFrame(int frame, CanvasArea area, Span<byte> labels, Span<float> weights)
    {
        for (int row = 0; row < area.Height; row++)
        {
            Line line = LineOf(frame, area.X, area.Y + row);
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

    private Line LineOf(int frame, int canvasX, int canvasY)
    {
        Placement p = placements[frame];
        (double sin, double cos) = Math.SinCos(p.Angle);
        (double x, double y) = p.ToFrame(canvasX, canvasY);
        return new(x, y, cos, -sin, frames[frame].Frame.CentreX, frames[frame].Frame.CentreY);
    }

    /// <summary>A row of canvas pixels seen from a frame: offsets from its centre, and its half sides.</summary>
    private readonly record struct Line(double X, double Y, double StepX, double StepY, double HalfWidth, double HalfHeight)
    {
        /// <summary>Distance of a pixel from the frame's nearest edge, px; negative outside.</summary>
        public float Depth(int column) =>
            (float)Math.Min(HalfWidth - Math.Abs(X + column * StepX), HalfHeight - Math.Abs(Y + column * StepY));

        /// <summary>How much a pixel belongs to the frame, px²; 0 outside, a little more than 0 on the very edge.</summary>
        public float Weight(int column)
        {
            double across = HalfWidth - Math.Abs(X + column * StepX), down = HalfHeight - Math.Abs(Y + column * StepY);
            return Math.Min(across, down) <= -Tolerance ? 0 : (float)((across + 1) * (down + 1));
        }
    }
}
