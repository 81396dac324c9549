using Imbrex.Engine.Documents;
using Imbrex.Engine.Registration;

namespace Imbrex.Engine.Merging;

/// <summary>
/// Says why a frame ties to none of its neighbours: nothing is there to hold on to, the release was pressed twice, or the frame shows something else.
/// </summary>
internal static class SuspectFrames
{
    /// <summary>Least root mean square step between reduced pixels where there is detail; noise leaves a quarter of that at most.</summary>
    private const double LeastDetail = 200;

    /// <summary>Two frames whose details correlate so well without a shift show the same view.</summary>
    private const double SameView = 0.8;

    /// <summary>Longer side of the pictures in which views are compared, px.</summary>
    private const int ViewSide = 128;

    /// <summary>One finding for each untied frame.</summary>
    /// <param name="frames">All frames.</param>
    /// <param name="pyramids">Their pyramids.</param>
    /// <param name="placements">Where they lie.</param>
    /// <param name="untied">Those that nothing ties to the others.</param>
    public static IReadOnlyList<FindingPart> Explain(
        IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, IReadOnlyList<Placement> placements, IReadOnlyList<int> untied)
    {
        if (untied.Count == 0)
            return [];
        IReadOnlyList<SharedArea> areas = SharedArea.Find(frames, placements, FineSearch.LeastSide);
        GrayImage[] views = [.. pyramids.Select(pyramid => SmallView.Of(pyramid[GrayPyramid.FinestLevel], ViewSide))];
        return [.. untied.Select(i => Twin(i, frames, views) ?? Stranger(i, frames, pyramids, placements, areas) ?? Untied(frames[i].Id))];
    }

    private static FindingPart Untied(string id) => new()
    {
        Kind = "untied",
        Tile = id,
        Text = $"Nothing in the picture ties tile {id} to its neighbours; it stays where the plan puts it.",
    };

    private static FindingPart? Twin(int i, IReadOnlyList<PlacedFrame> frames, GrayImage[] views)
    {
        (int Frame, double Coefficient) best = (-1, SameView);
        for (int other = 0; other < frames.Count; other++)
        {
            double coefficient = other == i ? 0 : SmallView.Likeness(views[i], views[other]);
            if (coefficient > best.Coefficient)
                best = (other, coefficient);
        }
        if (best.Frame < 0)
            return null;
        string id = frames[i].Id, twin = frames[best.Frame].Id;
        return new()
        {
            Kind = "doubled",
            Tile = id,
            Text = FormattableString.Invariant(
                $"The frame of tile {id} shows the same view as that of tile {twin} (correlation {best.Coefficient:0.00}) and nothing of what its neighbours show: the release was pressed twice, or the back was not moved. Shoot it again, or merge with --without {id}."),
        };
    }

    private static FindingPart? Stranger(int i, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, IReadOnlyList<Placement> placements,
        IReadOnlyList<SharedArea> areas)
    {
        var neighbours = new List<string>();
        foreach (SharedArea area in areas.Where(area => area.A == i || area.B == i))
        {
            int other = area.A == i ? area.B : area.A;
            if (HasDetail(area, frames, pyramids, placements, i) && HasDetail(area, frames, pyramids, placements, other))
                neighbours.Add(frames[other].Id);
        }
        if (neighbours.Count == 0)
            return null;
        string id = frames[i].Id;
        return new()
        {
            Kind = "foreign",
            Tile = id,
            Text = $"The frame of tile {id} shows nothing of what {string.Join(", ", neighbours)} {(neighbours.Count == 1 ? "shows" : "show")} where they overlap, though there is detail on both sides: "
                + $"it belongs to another take, stands in the wrong order, or everything there moved. It stays where the plan puts it; merge with --without {id} to leave it out.",
        };
    }

    private static bool HasDetail(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<IReducedFrame> pyramids, IReadOnlyList<Placement> placements, int frame)
    {
        const double Factor = 1 << GrayPyramid.FinestLevel;
        IGreyPicture image = pyramids[frame][GrayPyramid.FinestLevel];
        (double left, double top, double right, double bottom) = Seen(area, placements, frame);
        int x0 = Math.Max(0, (int)((left + frames[frame].Frame.CentreX) / Factor)), x1 = Math.Min(image.Width - 1, (int)((right + frames[frame].Frame.CentreX) / Factor));
        int y0 = Math.Max(0, (int)((top + frames[frame].Frame.CentreY) / Factor)), y1 = Math.Min(image.Height - 1, (int)((bottom + frames[frame].Frame.CentreY) / Factor));
        if (x1 <= x0 || y1 <= y0)
            return false;
        using GreyPart part = image.Read(new(x0, y0, x1 - x0 + 1, y1 - y0));
        double sum = 0;
        for (int y = y0; y < y1; y++)
        {
            ReadOnlySpan<float> row = part.Row(x0, y, x1 - x0 + 1);
            for (int x = 0; x < x1 - x0; x++)
                sum += (row[x + 1] - row[x]) * (double)(row[x + 1] - row[x]);
        }
        return Math.Sqrt(sum / ((x1 - x0) * (double)(y1 - y0))) >= LeastDetail;
    }

    // The shared area as offsets from a frame's own centre.
    private static (double Left, double Top, double Right, double Bottom) Seen(SharedArea area, IReadOnlyList<Placement> placements, int frame)
    {
        if (frame == area.A)
            return (area.Left, area.Top, area.Right, area.Bottom);
        (double X, double Y)[] corners =
        [
            .. new[] { (area.Left, area.Top), (area.Right, area.Top), (area.Right, area.Bottom), (area.Left, area.Bottom) }.Select(corner =>
            {
                (double x, double y) = placements[area.A].ToCanvas(corner.Item1, corner.Item2);
                return placements[area.B].ToFrame(x, y);
            }),
        ];
        return (corners.Min(c => c.X), corners.Min(c => c.Y), corners.Max(c => c.X), corners.Max(c => c.Y));
    }
}
