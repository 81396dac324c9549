using Imbrex.Engine.Blending;

namespace Imbrex.Engine.Seams;

/// <summary>The box of a moving thing, a little finer than its cells: an outermost line of cells that differs half as much is half filled.</summary>
internal static class MovingBox
{
    /// <summary>Draws the box.</summary>
    /// <param name="grid">The cells.</param>
    /// <param name="cells">Those of the thing.</param>
    /// <param name="strength">How much a cell differs.</param>
    /// <param name="width">Pixels across the canvas.</param>
    /// <param name="height">Pixels down the canvas.</param>
    public static CanvasArea Of(CellGrid grid, IReadOnlyList<int> cells, Func<int, float> strength, int width, int height)
    {
        SortedDictionary<int, float> columns = [], rows = [];
        foreach (int cell in cells)
        {
            float own = strength(cell);
            Raise(columns, cell % grid.Columns, own);
            Raise(rows, cell / grid.Columns, own);
        }
        (int left, int right) = Ends(columns, grid.Side, width);
        (int top, int bottom) = Ends(rows, grid.Side, height);
        return new(left, top, right - left, bottom - top);
    }

    private static void Raise(SortedDictionary<int, float> lines, int at, float value) => lines[at] = Math.Max(value, lines.GetValueOrDefault(at));

    private static (int First, int End) Ends(SortedDictionary<int, float> lines, int side, int length)
    {
        List<KeyValuePair<int, float>> all = [.. lines];
        double Filled(int outer, int inner) => all.Count < 3 ? 1 : Math.Clamp(all[outer].Value / Math.Max(all[inner].Value, 1f), 0, 1);
        double first = (all[0].Key + 1 - Filled(0, 1)) * side, end = (all[^1].Key + Filled(all.Count - 1, all.Count - 2)) * side;
        int from = Math.Clamp((int)Math.Round(first), 0, length - 1);
        return (from, Math.Clamp((int)Math.Round(end), from + 1, length));
    }
}
