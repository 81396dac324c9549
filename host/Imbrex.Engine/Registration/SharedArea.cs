using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>
/// The part of frame A that frame B also shows, as an upright rectangle of A's own pixels (offsets from A's centre): measurements
/// are laid out on it.
/// </summary>
/// <param name="A">Index of the first frame.</param>
/// <param name="B">Index of the second frame.</param>
/// <param name="Left">Smallest x offset from A's centre, px.</param>
/// <param name="Top">Smallest y offset.</param>
/// <param name="Right">Largest x offset.</param>
/// <param name="Bottom">Largest y offset.</param>
internal readonly record struct SharedArea(int A, int B, double Left, double Top, double Right, double Bottom)
{
    public double Width => Right - Left;

    public double Height => Bottom - Top;

    /// <summary>All pairs that share at least <paramref name="least"/> pixels each way, in rising order of A, then B.</summary>
    public static IReadOnlyList<SharedArea> Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, double least)
    {
        var pairs = new List<SharedArea>();
        for (int a = 0; a < frames.Count; a++)
        {
            for (int b = a + 1; b < frames.Count; b++)
            {
                if (Between(frames, placements, a, b) is { } area && area.Width >= least && area.Height >= least)
                    pairs.Add(area);
            }
        }
        return pairs;
    }

    // Exact for frames that stand parallel; otherwise the bounding box of what B shows inside A, of which blocks outside B are skipped.
    private static SharedArea? Between(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, int a, int b)
    {
        Frame fa = frames[a].Frame, fb = frames[b].Frame;
        double left = double.PositiveInfinity, top = double.PositiveInfinity, right = double.NegativeInfinity, bottom = double.NegativeInfinity;
        foreach ((double sx, double sy) in new[] { (-1, -1), (1, -1), (1, 1), (-1, 1) })
        {
            (double cx, double cy) = placements[b].ToCanvas(sx * fb.CentreX, sy * fb.CentreY);
            (double x, double y) = placements[a].ToFrame(cx, cy);
            (left, right) = (Math.Min(left, x), Math.Max(right, x));
            (top, bottom) = (Math.Min(top, y), Math.Max(bottom, y));
        }
        (left, right) = (Math.Max(left, -fa.CentreX), Math.Min(right, fa.CentreX));
        (top, bottom) = (Math.Max(top, -fa.CentreY), Math.Min(bottom, fa.CentreY));
        return right > left && bottom > top ? new(a, b, left, top, right, bottom) : null;
    }
}
