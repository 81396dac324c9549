using Imbrex.Engine.Intake;

namespace Imbrex.Engine.Registration;

/// <summary>Finds ties at a reduced size by cross-correlation of blocks, inside the window that the tolerance allows.</summary>
internal static class CoarseSearch
{
    /// <summary>Least correlation for a tie to count.</summary>
    private const double LeastCoefficient = 0.35;

    /// <summary>Searches one pair at one level.</summary>
    /// <param name="area">What the two frames are expected to share.</param>
    /// <param name="frames">All frames.</param>
    /// <param name="pyramids">Their pyramids.</param>
    /// <param name="placements">Where they are believed to lie.</param>
    /// <param name="level">Level of the pyramids.</param>
    /// <param name="blockSide">Longest side of a block in that level's pixels.</param>
    /// <param name="radius">Half width of the window in that level's pixels.</param>
    /// <param name="ties">Receives what is found.</param>
    public static void Find(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<GrayPyramid> pyramids,
        IReadOnlyList<Placement> placements, int level, int blockSide, int radius, List<Tie> ties)
    {
        GrayImage a = pyramids[area.A][level], b = pyramids[area.B][level];
        Frame fa = frames[area.A].Frame, fb = frames[area.B].Frame;
        double scale = 1 << level;
        foreach (Block block in Blocks(area, fa, a, scale, blockSide))
        {
            (int offsetX, int offsetY) = ExpectedOffset(area, block, frames, placements, scale);
            CrossCorrelation.Peak peak = CrossCorrelation.Search(a, block.X, block.Y, block.Width, block.Height, b, offsetX, offsetY, radius);
            if (peak.AtEdge || peak.Coefficient < LeastCoefficient || !peak.Bend.IsPositive)
                continue;
            double middleX = Middle(block.X, block.Width, scale) - fa.CentreX, middleY = Middle(block.Y, block.Height, scale) - fa.CentreY;
            double foundX = Middle(block.X + offsetX + peak.Dx, block.Width, scale) - fb.CentreX;
            double foundY = Middle(block.Y + offsetY + peak.Dy, block.Height, scale) - fb.CentreY;
            // A peak as sharp as fine detail gives (a bend of one half) is good to a third of a reduced pixel; blurred detail and lone edges
            // count for less, along the direction in which they say little. Rough, and only for the next level's start.
            ties.Add(new(area.A, area.B, middleX, middleY, foundX, foundY, peak.Bend.Scaled(2 * peak.Coefficient * peak.Coefficient / (0.33 * 0.33 * scale * scale))));
        }
    }

    /// <summary>How well two reduced pictures agree where both show the same: the mean best coefficient of a few large blocks.</summary>
    public static double Agreement(SharedArea area, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements,
        GrayImage a, GrayImage b, int level, int radius)
    {
        double scale = 1 << level, sum = 0;
        int count = 0;
        foreach (Block block in Blocks(area, frames[area.A].Frame, a, scale, side: 64))
        {
            (int offsetX, int offsetY) = ExpectedOffset(area, block, frames, placements, scale);
            sum += CrossCorrelation.Search(a, block.X, block.Y, block.Width, block.Height, b, offsetX, offsetY, radius).Coefficient;
            count++;
        }
        return count == 0 ? 0 : sum / count;
    }

    // Where B is expected to show the block, as the whole-pixel offset between the two reduced pictures.
    private static (int X, int Y) ExpectedOffset(SharedArea area, Block block, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements, double scale)
    {
        Frame fa = frames[area.A].Frame, fb = frames[area.B].Frame;
        (double cx, double cy) = placements[area.A].ToCanvas(
            Middle(block.X, block.Width, scale) - fa.CentreX, Middle(block.Y, block.Height, scale) - fa.CentreY);
        (double ex, double ey) = placements[area.B].ToFrame(cx, cy);
        double x = (ex + fb.CentreX + 0.5) / scale - block.Width / 2.0, y = (ey + fb.CentreY + 0.5) / scale - block.Height / 2.0;
        return ((int)Math.Round(x) - block.X, (int)Math.Round(y) - block.Y);
    }

    // The middle of a run of reduced pixels, in full pixels.
    private static double Middle(double first, int length, double scale) => (first + length / 2.0) * scale - 0.5;

    private static IEnumerable<Block> Blocks(SharedArea area, Frame frame, GrayImage image, double scale, int side)
    {
        int left = Math.Max(0, (int)Math.Ceiling((area.Left + frame.CentreX + 0.5) / scale));
        int top = Math.Max(0, (int)Math.Ceiling((area.Top + frame.CentreY + 0.5) / scale));
        int right = Math.Min(image.Width, (int)Math.Floor((area.Right + frame.CentreX + 0.5) / scale));
        int bottom = Math.Min(image.Height, (int)Math.Floor((area.Bottom + frame.CentreY + 0.5) / scale));
        if (right - left < 8 || bottom - top < 8)
            yield break;
        int columns = Math.Max(1, (right - left) / side), rows = Math.Max(1, (bottom - top) / side);
        for (int row = 0; row < rows; row++)
        {
            for (int column = 0; column < columns; column++)
            {
                int x = left + (right - left) * column / columns, endX = left + (right - left) * (column + 1) / columns;
                int y = top + (bottom - top) * row / rows, endY = top + (bottom - top) * (row + 1) / rows;
                yield return new(x, y, endX - x, endY - y);
            }
        }
    }
}
