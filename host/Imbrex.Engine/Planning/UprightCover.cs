using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The window rule for whole tiles whose sides run along x and y, strip by strip: between two neighbouring heights at which a tile begins or ends, the tiles that cross the strip
/// must reach from the one side to the other. Some hundred times as quick as polygons, to which it agrees but for slivers as thin as their rounding: for searching, and for judging what is clear.
/// </summary>
internal static class UprightCover
{
    // What is thinner counts as nothing among polygons (PlaneArea).
    private const double Thin = 2 * PlaneArea.Snap;

    // With more tiles the polygons, which look at neighbours only, are the quicker way.
    private const int MostTiles = 200;

    // So far from the rule's edge, mm, the polygons say the same whatever their rounding does.
    private const double Sure = 4 * PlaneArea.Snap;

    /// <summary>Whether the tiles are of this kind.</summary>
    public static bool Suits(IReadOnlyList<TileRectangle> tiles) => tiles.All(tile => tile.IsParallel && tile.Cuts.Count == 0);

    /// <summary>As <see cref="WindowRule.Holds"/>.</summary>
    public static bool Holds(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window)
    {
        PlaneSize middles = Middles(format, window);
        return middles.ShortSide <= 2 * Thin ? WindowRule.Holds(format, tiles, window) : Gap(middles, tiles, window, PlaneArea.Snap) == 0;
    }

    /// <summary>Whether the rule holds with room to spare in every place: the polygons need not be asked then, which take longer to be loaded than to answer.</summary>
    public static bool SurelyHolds(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window)
    {
        PlaneSize middles = Middles(format, window);
        return tiles.Count <= MostTiles && Suits(tiles) && middles.ShortSide > 2 * Thin && Gap(middles, tiles, window, -Sure) == 0;
    }

    /// <summary>Whether the rule is broken by so much that the polygons would say so.</summary>
    public static bool SurelyFails(PlaneSize format, IReadOnlyList<TileRectangle> tiles, PlaneSize window)
    {
        PlaneSize middles = Middles(format, window);
        return tiles.Count <= MostTiles && Suits(tiles) && middles.ShortSide > 2 * Thin && Gap(middles, tiles, window, Sure, 4 * PlaneArea.Negligible) > 0;
    }

    private static PlaneSize Middles(PlaneSize format, PlaneSize window) => new(format.Width - window.Width, format.Height - window.Height);

    // Area of some gap that tiles larger by a margin on every side leave, mm2; 0 where they leave none above the least.
    private static double Gap(PlaneSize middles, IReadOnlyList<TileRectangle> tiles, PlaneSize window, double margin, double least = 0)
    {
        double right = middles.Width / 2, bottom = middles.Height / 2;
        var boxes = new List<Box>(tiles.Count);
        var heights = new List<double>(2 * tiles.Count + 2) { -bottom, bottom };
        foreach (TileRectangle tile in tiles)
        {
            double x = (tile.Size.Width - window.Width) / 2, y = (tile.Size.Height - window.Height) / 2;
            if (Math.Min(x, y) <= Math.Max(PlaneArea.Snap / 2, -margin))
                continue;
            var box = new Box(tile.Centre.X - x - margin, tile.Centre.Y - y - margin, tile.Centre.X + x + margin, tile.Centre.Y + y + margin);
            boxes.Add(box);
            heights.Add(Math.Clamp(box.Top, -bottom, bottom));
            heights.Add(Math.Clamp(box.Bottom, -bottom, bottom));
        }
        boxes.Sort((a, b) => a.Left.CompareTo(b.Left));
        heights.Sort();
        for (int i = 1; i < heights.Count; i++)
        {
            double height = heights[i] - heights[i - 1];
            if (height > Thin && Gap(boxes, (heights[i] + heights[i - 1]) / 2, right) is > 0 and var width && width * height > least)
                return width * height;
        }
        return 0;
    }

    // From left to right, as far as the tiles across a height reach: the width of the first gap, or 0.
    private static double Gap(List<Box> boxes, double height, double right)
    {
        double reach = -right;
        foreach (Box box in boxes)
        {
            if (box.Top > height || box.Bottom < height)
                continue;
            if (box.Left > reach + Thin)
                return Math.Min(box.Left, right) - reach;
            reach = Math.Max(reach, box.Right);
        }
        return reach >= right - Thin ? 0 : right - reach;
    }

    // A class: lists of structs that are sorted would be compiled anew by every short command.
    private sealed record Box(double Left, double Top, double Right, double Bottom);
}
