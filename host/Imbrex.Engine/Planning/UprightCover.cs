using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The window rule for whole tiles whose sides run along x and y, strip by strip: between two neighbouring heights at which a tile begins or ends, the tiles that cross the strip
/// must reach from the one side to the other. Some hundred times as quick as polygons, to which it agrees but for slivers as thin as their rounding: for searching, not for judging.
/// </summary>
internal static class UprightCover
{
    // What is thinner counts as nothing among polygons (PlaneArea).
    private const double Thin = 2 * PlaneArea.Snap;

    /// <summary>Whether the tiles are of this kind.</summary>
    public static bool Suits(IReadOnlyList<TileRectangle> tiles) => tiles.All(tile => tile.IsParallel && tile.Cuts.Count == 0);

    /// <summary>As <see cref="WindowRule.Holds"/>.</summary>
    public static bool Holds(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window)
    {
        double right = (format.Width - window.Width) / 2, bottom = (format.Height - window.Height) / 2;
        if (Math.Min(right, bottom) <= Thin)
            return WindowRule.Holds(format, tiles, window);
        var boxes = new List<(double Left, double Top, double Right, double Bottom)>(tiles.Count);
        var heights = new List<double>(2 * tiles.Count + 2) { -bottom, bottom };
        foreach (TileRectangle tile in tiles)
        {
            double x = (tile.Size.Width - window.Width) / 2, y = (tile.Size.Height - window.Height) / 2;
            if (Math.Min(x, y) <= PlaneArea.Snap / 2)
                continue;
            (double Left, double Top, double Right, double Bottom) box =
                (tile.Centre.X - x - PlaneArea.Snap, tile.Centre.Y - y - PlaneArea.Snap, tile.Centre.X + x + PlaneArea.Snap, tile.Centre.Y + y + PlaneArea.Snap);
            boxes.Add(box);
            heights.Add(Math.Clamp(box.Top, -bottom, bottom));
            heights.Add(Math.Clamp(box.Bottom, -bottom, bottom));
        }
        boxes.Sort();
        heights.Sort();
        for (int i = 1; i < heights.Count; i++)
        {
            if (heights[i] - heights[i - 1] > Thin && !Crossed(boxes, heights[i - 1], heights[i], right))
                return false;
        }
        return true;
    }

    // From left to right, as far as the tiles across the strip reach without a gap.
    private static bool Crossed(List<(double Left, double Top, double Right, double Bottom)> boxes, double top, double bottom, double right)
    {
        double reach = -right, middle = (top + bottom) / 2;
        foreach ((double Left, double Top, double Right, double Bottom) box in boxes)
        {
            if (box.Top > middle || box.Bottom < middle)
                continue;
            if (box.Left > reach + Thin)
                break;
            reach = Math.Max(reach, box.Right);
        }
        return reach >= right - Thin;
    }
}
