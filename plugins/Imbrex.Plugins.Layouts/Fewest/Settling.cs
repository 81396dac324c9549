using Imbrex.Sdk.Geometry;

namespace Imbrex.Plugins.Layouts.Fewest;

/// <summary>
/// Lays the tiles of a cover so that what is to spare goes evenly into overlaps. Each tile must hold what no other holds; within that it is
/// free, and goes to the format's edge where it has a share of it, otherwise to the middle of what it must hold.
/// </summary>
internal static class Settling
{
    private const int Rounds = 6;
    private const double Same = 1e-7;

    /// <summary>The same tiles, moved within the reach of their stations; they cover what they covered.</summary>
    public static IReadOnlyList<Laid> Settle(PlaneSize area, IReadOnlyList<Laid> tiles)
    {
        Laid[] settled = [.. tiles];
        for (int round = 0; round < Rounds; round++)
        {
            for (int i = 0; i < settled.Length; i++)
            {
                if (Own(area, settled, i) is not { } own)
                    continue;
                Laid tile = settled[i];
                PlaneSize held = tile.Station.Held;
                settled[i] = tile with
                {
                    X = Settle(tile.X, tile.Station.X, held.Width / 2, own.Left, own.Right, area.Width / 2),
                    Y = Settle(tile.Y, tile.Station.Y, held.Height / 2, own.Top, own.Bottom, area.Height / 2),
                };
            }
        }
        return settled;
    }

    private static double Settle(double now, Reach reach, double half, double from, double to, double edge)
    {
        if (reach.Stops.Count > 0)
            return now;
        double wanted = (from <= Same - edge, to >= edge - Same) switch
        {
            (true, false) => half - edge,
            (false, true) => edge - half,
            _ => (from + to) / 2,
        };
        return Math.Clamp(Math.Clamp(wanted, Math.Min(now, to - half), Math.Max(now, from + half)), reach.From, reach.To);
    }

    // The box around what only this tile holds, by the cells between all tiles' edges; null where it is needed for nothing.
    private static (double Left, double Top, double Right, double Bottom)? Own(PlaneSize area, Laid[] tiles, int tile)
    {
        double[] xs = Cuts(tiles.SelectMany(t => new[] { t.Left, t.Right }), area.Width / 2);
        double[] ys = Cuts(tiles.SelectMany(t => new[] { t.Top, t.Bottom }), area.Height / 2);
        (double left, double top, double right, double bottom) = (double.PositiveInfinity, double.PositiveInfinity, double.NegativeInfinity, double.NegativeInfinity);
        for (int i = 0; i + 1 < xs.Length; i++)
        {
            double x = (xs[i] + xs[i + 1]) / 2;
            if (xs[i + 1] - xs[i] < Same || x < tiles[tile].Left || x > tiles[tile].Right)
                continue;
            for (int k = 0; k + 1 < ys.Length; k++)
            {
                double y = (ys[k] + ys[k + 1]) / 2;
                if (ys[k + 1] - ys[k] < Same || y < tiles[tile].Top || y > tiles[tile].Bottom || IsHeldByOthers(tiles, tile, x, y))
                    continue;
                (left, right) = (Math.Min(left, xs[i]), Math.Max(right, xs[i + 1]));
                (top, bottom) = (Math.Min(top, ys[k]), Math.Max(bottom, ys[k + 1]));
            }
        }
        return left < right ? (left, top, right, bottom) : null;
    }

    private static bool IsHeldByOthers(Laid[] tiles, int tile, double x, double y)
    {
        for (int i = 0; i < tiles.Length; i++)
        {
            if (i != tile && x >= tiles[i].Left && x <= tiles[i].Right && y >= tiles[i].Top && y <= tiles[i].Bottom)
                return true;
        }
        return false;
    }

    private static double[] Cuts(IEnumerable<double> edges, double half) => [.. edges.Select(edge => Math.Clamp(edge, -half, half)).Append(-half).Append(half).Distinct().Order()];
}
