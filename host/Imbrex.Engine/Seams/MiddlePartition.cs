namespace Imbrex.Engine.Seams;

/// <summary>The seams to begin with: every cell shows the frame that it lies deepest in, as <see cref="SeamMap"/> weighs it.</summary>
internal static class MiddlePartition
{
    public static byte[] Of(FrameOutline[] outlines, ISeamCosts costs, CellGrid grid)
    {
        var labels = new byte[grid.Count];
        for (int i = 0; i < labels.Length; i++)
            labels[i] = At(outlines, costs, grid, i % grid.Columns, i / grid.Columns);
        return labels;
    }

    /// <summary>The frame of one cell; <see cref="SeamMap.None"/> where none touches it.</summary>
    public static byte At(FrameOutline[] outlines, ISeamCosts costs, CellGrid grid, int column, int row)
    {
        byte best = SeamMap.None;
        double most = double.NegativeInfinity;
        for (int frame = 0; frame < outlines.Length; frame++)
        {
            if (!costs.Allowed(frame, row).Holds(column))
                continue;
            (double x, double y) = outlines[frame].ToFrame((column + 0.5) * grid.Side - 0.5, (row + 0.5) * grid.Side - 0.5);
            double across = outlines[frame].HalfWidth - Math.Abs(x), down = outlines[frame].HalfHeight - Math.Abs(y);
            double room = across < 0 || down < 0 ? Math.Min(across, down) : (across + 1) * (down + 1);
            if (room > most)
                (best, most) = ((byte)frame, room);
        }
        return best;
    }
}
