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

    /// <summary>
    /// All pairs that share at least <paramref name="least"/> pixels each way if they are shifted by up to <paramref name="reach"/>, in rising order of
    /// A, then B.
    /// </summary>
    public static IReadOnlyList<SharedArea> Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, double least, double reach = 0)
    {
        var pairs = new List<SharedArea>();
        for (int a = 0; a < frames.Count; a++)
        {
            for (int b = a + 1; b < frames.Count; b++)
            {
                if (Between(frames, placements, a, b, reach) is { } area && area.Width >= least && area.Height >= least)
                    pairs.Add(area);
            }
        }
        return pairs;
    }

    /// <summary>
    /// What B may show of A if it is shifted by up to <paramref name="reach"/>, or null where they cannot meet. Exact for frames that stand parallel;
    /// otherwise the bounding box, of which the parts that B does not show must be left out.
    /// </summary>
    public static SharedArea? Between(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, int a, int b, double reach)
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
        (left, right) = (Math.Max(left - reach, -fa.CentreX), Math.Min(right + reach, fa.CentreX));
        (top, bottom) = (Math.Max(top - reach, -fa.CentreY), Math.Min(bottom + reach, fa.CentreY));
        return right > left && bottom > top ? new(a, b, left, top, right, bottom) : null;
    }
}
