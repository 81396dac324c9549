using System.Net;
using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Simulation;
using Spectre.Console;

namespace Imbrex.Cli.Demo;

/// <summary>Where each tile was planned, where it was found and where it really stood.</summary>
/// <param name="Rows">One for each tile.</param>
/// <param name="RmsPx">
/// Root mean square of the errors, px: distance of the centres after taking out the shift and rotation that all tiles have in common, which no
/// overlap can show.
/// </param>
internal sealed record TruthTable(IReadOnlyList<TruthRow> Rows, double RmsPx)
{
    private static readonly string[] Titles = ["tile", "nominal x, y", "found x, y", "true x, y", "error, px"];

    public static TruthTable Of(MosaicDocument mosaic, TruthDocument truth)
    {
        Engine.Planning.Canvas canvas = Engine.Planning.Canvas.Of(mosaic.Plan);
        TruthTilePart[] real = [.. mosaic.Tiles.Select(tile => truth.Tiles.First(t => t.Id == tile.Id))];
        Func<double, double, (double X, double Y)> move = CommonMotion(mosaic.Tiles, real);
        var rows = new List<TruthRow>();
        for (int i = 0; i < real.Length; i++)
        {
            MosaicTilePart found = mosaic.Tiles[i];
            TilePart plan = mosaic.Plan.Tiles.First(t => t.Id == found.Id);
            (double nx, double ny) = canvas.ToPixel(new(plan.XMm, plan.YMm));
            (double x, double y) = move(found.XPx, found.YPx);
            rows.Add(new(found.Id, nx, ny, x, y, real[i].XPx, real[i].YPx));
        }
        return new(rows, Math.Sqrt(rows.Average(row => row.ErrorPx * row.ErrorPx)));
    }

    public Table ToTable()
    {
        var table = new Table().Border(TableBorder.Simple);
        foreach (string title in Titles)
            table.AddColumn(new TableColumn(title).RightAligned());
        foreach (TruthRow row in Rows)
            table.AddRow([.. row.Cells().Select(cell => new Text(cell))]);
        return table;
    }

    public string ToHtml()
    {
        var html = new StringBuilder("<h2>Found and true</h2>\n<p>Positions of the tiles' centres on the canvas, px; the shift and rotation that all tiles have in common "
            + "are taken out of the found ones, since no overlap can show them.</p>\n<div class=\"scroll\"><table><tr>");
        foreach (string title in Titles)
            html.Append("<th>").Append(title).Append("</th>");
        html.Append("</tr>\n");
        foreach (TruthRow row in Rows)
            html.Append("<tr>").AppendJoin("", row.Cells().Select(cell => $"<td>{WebUtility.HtmlEncode(cell)}</td>")).Append("</tr>\n");
        return html.Append(FormattableString.Invariant($"</table></div>\n<p>Root mean square: {RmsPx:0.0000} px.</p>\n")).ToString();
    }

    // Least-squares rotation and shift from the found centres to the true ones; one tile alone can only be shifted.
    private static Func<double, double, (double X, double Y)> CommonMotion(IReadOnlyList<MosaicTilePart> found, IReadOnlyList<TruthTilePart> real)
    {
        double fx = found.Average(t => t.XPx), fy = found.Average(t => t.YPx), rx = real.Average(t => t.XPx), ry = real.Average(t => t.YPx);
        double dot = 0, cross = 0;
        for (int i = 0; i < real.Count; i++)
        {
            (double ax, double ay, double bx, double by) = (found[i].XPx - fx, found[i].YPx - fy, real[i].XPx - rx, real[i].YPx - ry);
            dot += ax * bx + ay * by;
            cross += ax * by - ay * bx;
        }
        (double sin, double cos) = Math.SinCos(Math.Atan2(cross, dot));
        return (x, y) => (rx + cos * (x - fx) - sin * (y - fy), ry + sin * (x - fx) + cos * (y - fy));
    }
}

/// <summary>One tile's centre on the canvas, px.</summary>
internal sealed record TruthRow(string Tile, double NominalX, double NominalY, double FoundX, double FoundY, double TrueX, double TrueY)
{
    public double ErrorPx => Math.Sqrt(Math.Pow(FoundX - TrueX, 2) + Math.Pow(FoundY - TrueY, 2));

    public string[] Cells() =>
    [
        Tile, Pair(NominalX, NominalY, "0.00"), Pair(FoundX, FoundY, "0.000"), Pair(TrueX, TrueY, "0.000"),
        ErrorPx.ToString("0.0000", System.Globalization.CultureInfo.InvariantCulture),
    ];

    private static string Pair(double x, double y, string format) =>
        x.ToString(format, System.Globalization.CultureInfo.InvariantCulture) + ", " + y.ToString(format, System.Globalization.CultureInfo.InvariantCulture);
}
