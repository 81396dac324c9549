using Imbrex.Engine.Simulation;

namespace Imbrex.Judging;

/// <summary>What became of those who walked through a take: shown whole, left out, or cut by a seam, which a merge should avoid.</summary>
internal sealed record WalkerFate(int Whole, int Gone, int Cut)
{
    // Two pixels in a hundred may lie on the other side of a seam that skirts a walker's soft edge.
    private const double Edge = 0.02;

    /// <summary>Looks where the frame of each walker shows.</summary>
    /// <param name="walkers">The walkers.</param>
    /// <param name="tiles">Ids of the tiles in the order of the labels.</param>
    /// <param name="labelsFile">One byte for each canvas pixel: the frame that shows there.</param>
    /// <param name="width">Columns of the canvas.</param>
    /// <param name="height">Rows of the canvas.</param>
    public static WalkerFate Of(IReadOnlyList<Walker> walkers, IReadOnlyList<string> tiles, string labelsFile, int width, int height)
    {
        using FileStream labels = File.OpenRead(labelsFile);
        var row = new byte[width];
        (int whole, int gone, int cut) = (0, 0, 0);
        foreach (Walker walker in walkers)
        {
            byte own = (byte)tiles.ToList().IndexOf(walker.Tile);
            (long shown, long all) = (0, 0);
            for (int y = Math.Max(0, (int)(walker.Y - walker.Height / 2)); y < Math.Min(height, walker.Y + walker.Height / 2); y++)
            {
                RandomAccess.Read(labels.SafeFileHandle, row, (long)y * width);
                for (int x = Math.Max(0, (int)(walker.X - walker.Width / 2)); x < Math.Min(width, walker.X + walker.Width / 2); x++)
                {
                    if (walker.Cover(x, y) < 0.5f)
                        continue;
                    all++;
                    shown += row[x] == own ? 1 : 0;
                }
            }
            double part = shown / (double)Math.Max(all, 1);
            (whole, gone, cut) = part > 1 - Edge ? (whole + 1, gone, cut) : part < Edge ? (whole, gone + 1, cut) : (whole, gone, cut + 1);
        }
        return new(whole, gone, cut);
    }
}
