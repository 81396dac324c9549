using Imbrex.Engine.Blending;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;

namespace Imbrex.Engine.Merging;

/// <summary>Finds the part of the plane that becomes the picture.</summary>
internal static class Crop
{
    /// <summary>Side of the cells in which full rectangles are searched first, px; doubled until the cells are few enough.</summary>
    private const int LeastCell = 16;

    private const long MostCells = 4_000_000;

    /// <summary>The area to be written, in pixels of the format's canvas.</summary>
    /// <param name="rule">How much is wanted.</param>
    /// <param name="format">The format's own area.</param>
    /// <param name="frames">All frames.</param>
    /// <param name="placements">Where they lie.</param>
    public static CanvasArea Area(CropRule rule, CanvasArea format, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements) => rule switch
    {
        CropRule.All => Everything(frames, placements),
        CropRule.Full => LargestFull(new SeamMap(frames, placements), frames, placements),
        _ => format,
    };

    // Pixels are whole where their centre lies inside a frame.
    private static CanvasArea Everything(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements)
    {
        double left = double.PositiveInfinity, top = double.PositiveInfinity, right = double.NegativeInfinity, bottom = double.NegativeInfinity;
        for (int i = 0; i < frames.Count; i++)
        {
            (double w, double h) = (frames[i].Frame.CentreX, frames[i].Frame.CentreY);
            foreach ((double dx, double dy) in new[] { (-w, -h), (w, -h), (w, h), (-w, h) })
            {
                (double x, double y) = placements[i].ToCanvas(dx, dy);
                (left, right) = (Math.Min(left, x), Math.Max(right, x));
                (top, bottom) = (Math.Min(top, y), Math.Max(bottom, y));
            }
        }
        (int x0, int y0) = ((int)Math.Ceiling(left - 1e-4), (int)Math.Ceiling(top - 1e-4));
        return new(x0, y0, (int)Math.Floor(right + 1e-4) - x0 + 1, (int)Math.Floor(bottom + 1e-4) - y0 + 1);
    }

    // A rectangle of cells, each wholly inside one frame, then every side pushed out pixel by pixel as far as nothing is missing.
    private static CanvasArea LargestFull(SeamMap seams, IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> placements)
    {
        CanvasArea all = Everything(frames, placements);
        int cell = LeastCell;
        while ((long)(all.Width / cell) * (all.Height / cell) > MostCells)
            cell *= 2;
        int columns = all.Width / cell, rows = all.Height / cell;
        var full = new bool[columns * rows];
        for (int i = 0; i < full.Length; i++)
        {
            var area = new CanvasArea(all.X + i % columns * cell, all.Y + i / columns * cell, cell, cell);
            for (int frame = 0; frame < frames.Count && !full[i]; frame++)
                full[i] = seams.Covers(frame, area);
        }
        CanvasArea cells = LargestRectangle(full, columns, rows);
        return Pushed(seams, new(all.X + cells.X * cell, all.Y + cells.Y * cell, cells.Width * cell, cells.Height * cell), cell);
    }

    /// <summary>The largest rectangle of true cells: over every row the largest under the histogram of what stands above it (from memory).</summary>
    internal static CanvasArea LargestRectangle(ReadOnlySpan<bool> cells, int columns, int rows)
    {
        var heights = new int[columns + 1];
        var stack = new Stack<int>();
        CanvasArea best = default;
        for (int row = 0; row < rows; row++)
        {
            stack.Clear();
            for (int column = 0; column <= columns; column++)
            {
                // The column beyond the last stays at 0 and closes every open rectangle.
                if (column < columns)
                    heights[column] = cells[row * columns + column] ? heights[column] + 1 : 0;
                while (stack.TryPeek(out int top) && heights[top] > heights[column])
                {
                    int height = heights[stack.Pop()], left = stack.TryPeek(out int before) ? before + 1 : 0;
                    if ((long)height * (column - left) > (long)best.Width * best.Height)
                        best = new(left, row - height + 1, column - left, height);
                }
                stack.Push(column);
            }
        }
        return best;
    }

    private static CanvasArea Pushed(SeamMap seams, CanvasArea area, int most)
    {
        foreach (Func<CanvasArea, (CanvasArea Grown, CanvasArea Line)> push in Sides)
        {
            for (int step = 0; step < most; step++)
            {
                (CanvasArea grown, CanvasArea line) = push(area);
                if (!IsFull(seams, line))
                    break;
                area = grown;
            }
        }
        return area;
    }

    private static readonly Func<CanvasArea, (CanvasArea Grown, CanvasArea Line)>[] Sides =
    [
        a => (a with { X = a.X - 1, Width = a.Width + 1 }, new(a.X - 1, a.Y, 1, a.Height)),
        a => (a with { Width = a.Width + 1 }, new(a.Right, a.Y, 1, a.Height)),
        a => (a with { Y = a.Y - 1, Height = a.Height + 1 }, new(a.X, a.Y - 1, a.Width, 1)),
        a => (a with { Height = a.Height + 1 }, new(a.X, a.Bottom, a.Width, 1)),
    ];

    private static bool IsFull(SeamMap seams, CanvasArea line)
    {
        var labels = new byte[line.Size];
        seams.Fill(line, labels, new float[line.Size]);
        return !labels.Contains(SeamMap.None);
    }
}
