using Imbrex.Engine.Documents;

namespace Imbrex.Benchmarks.Cases;

/// <summary>Plans of a sensor of 36 x 24 mm.</summary>
internal static class Layouts
{
    /// <summary>Level tiles in a grid.</summary>
    /// <param name="columns">Tiles across.</param>
    /// <param name="rows">Tiles down.</param>
    /// <param name="pxPerMm">Scale.</param>
    /// <param name="margin">How far the outer tiles reach over the format, mm on each side.</param>
    /// <param name="overLower">Whether the second half of the rows is shot with the back turned over.</param>
    public static PlanDocument Level(int columns, int rows, double pxPerMm, double margin = 1, bool overLower = false) => Plan(
        pxPerMm, 36 + 27 * (columns - 1) - 2 * margin, 24 + 19 * (rows - 1) - 2 * margin,
        from row in Enumerable.Range(0, rows)
        from column in Enumerable.Range(0, columns)
        let over = overLower && row >= rows / 2
        select new TilePart
        {
            Id = $"r{row}c{column}",
            XMm = 27 * (column - (columns - 1) / 2.0),
            YMm = 19 * (row - (rows - 1) / 2.0),
            TurnDeg = over ? 180 : 0,
            BackTurned = overLower ? over : null,
        });

    /// <summary>Two rows of upright tiles, every second one with the body turned the other way, the second row with the back turned over.</summary>
    public static PlanDocument UprightMixed(int columns, double pxPerMm) => Plan(
        pxPerMm, 24 + 16.5 * (columns - 1) - 2, 36 + 28 - 2,
        from row in Enumerable.Range(0, 2)
        from column in Enumerable.Range(0, columns)
        select new TilePart
        {
            Id = $"r{row}c{column}",
            XMm = 16.5 * (column - (columns - 1) / 2.0),
            YMm = row == 0 ? -14 : 14,
            TurnDeg = (row + column) % 2 == 0 ? 90 : 270,
            BackTurned = row == 1,
        });

    private static PlanDocument Plan(double pxPerMm, double widthMm, double heightMm, IEnumerable<TilePart> tiles) => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = (int)Math.Round(36 * pxPerMm), HeightPx = (int)Math.Round(24 * pxPerMm) },
        Format = new() { WidthMm = widthMm, HeightMm = heightMm },
        Tiles = [.. tiles],
    };
}
