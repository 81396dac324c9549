using System.Globalization;
using System.Net;
using System.Text;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Reporting;

/// <summary>
/// The page that shows how a merge went: the picture with the tiles over it, how well neighbours agree, what was found. One file without
/// anything from elsewhere; the same merge gives the same bytes.
/// </summary>
public static class MergeReport
{
    private const string Style = """
        :root { color-scheme: light; }
        body { font: 16px/1.5 system-ui, sans-serif; color: #111; background: #fff; max-width: 1100px; margin: 2rem auto; padding: 0 1rem; }
        h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; }
        figure { margin: 1rem 0; } figcaption { color: #444; font-size: .9rem; }
        svg, img { width: 100%; height: auto; display: block; border: 1px solid #bbb; }
        table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; font-size: .92rem; }
        th, td { text-align: right; padding: .3rem .6rem; border-bottom: 1px solid #ddd; } th { border-bottom: 2px solid #111; vertical-align: bottom; }
        th:first-child, td:first-child, td.text { text-align: left; } .scroll { overflow-x: auto; }
        .finding { border-left: 4px solid #b45309; padding: .3rem .8rem; margin: .4rem 0; background: #fffbeb; }
        """;

    /// <summary>Renders the page.</summary>
    /// <param name="mosaic">The merge.</param>
    /// <param name="verdict">What the rules say of its plan.</param>
    /// <param name="picture">The merged picture at a reduced size, as a JPEG.</param>
    /// <param name="more">A further section in HTML, put before the record of how it was made.</param>
    public static byte[] Render(MosaicDocument mosaic, VerdictDocument verdict, byte[] picture, string more = "")
    {
        var html = new StringBuilder();
        string title = mosaic.Plan.Name is { Length: > 0 } name ? $"{name}: merged picture" : "Merged picture";
        html.Append(CultureInfo.InvariantCulture, $"""
            <!doctype html>
            <html lang="en">
            <head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{Encode(title)}</title><style>{Style}</style></head>
            <body>
            <h1>{Encode(title)}</h1>
            <p>{mosaic.WidthPx} &#215; {mosaic.HeightPx} px, {mosaic.WidthPx * (double)mosaic.HeightPx / 1e6:0.0} megapixels from {mosaic.Tiles.Count} tiles;
            {mosaic.PxPerMm:0.###} px/mm on the image plane ({mosaic.PxPerMm * 25.4:0} ppi); format {mosaic.Plan.Format.WidthMm:0.##} &#215; {mosaic.Plan.Format.HeightMm:0.##} mm.</p>

            """);
        html.Append(Findings(mosaic));
        html.Append("<figure>").Append(Drawing(mosaic, picture)).Append("<figcaption>The merged picture, upright, with the tiles where they were found. "
            + "The number between neighbours is how far they disagree, in pixels.</figcaption></figure>\n");
        html.Append("<figure><img alt=\"The plan's tiles on the image plane\" src=\"data:image/svg+xml;base64,")
            .Append(Convert.ToBase64String(PlanDrawing.Svg(mosaic.Plan, verdict))).Append("\"><figcaption>The plan, on the image plane seen from behind the camera.</figcaption></figure>\n");
        html.Append(Tiles(mosaic)).Append(Pairs(mosaic)).Append(more).Append(Record(mosaic)).Append("</body>\n</html>\n");
        return Encoding.UTF8.GetBytes(html.ToString().ReplaceLineEndings("\n"));
    }

    private static string Findings(MosaicDocument mosaic)
    {
        var html = new StringBuilder("<h2>Findings</h2>\n");
        foreach (FindingPart finding in mosaic.Findings)
            html.Append(CultureInfo.InvariantCulture, $"<p class=\"finding\">{Encode(finding.Text)}</p>\n");
        return mosaic.Findings.Count == 0 ? "<h2>Findings</h2>\n<p>None.</p>\n" : html.ToString();
    }

    private static string Drawing(MosaicDocument mosaic, byte[] jpeg)
    {
        double unit = Math.Max(mosaic.WidthPx, mosaic.HeightPx) / 1000.0;
        ISensor sensor = mosaic.Plan.TheSensor();
        double margin = 0.03 * Math.Max(mosaic.WidthPx, mosaic.HeightPx);
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"""
            <svg viewBox="{-margin:0.#} {-margin:0.#} {mosaic.WidthPx + 2 * margin:0.#} {mosaic.HeightPx + 2 * margin:0.#}" role="img" aria-label="Merged picture with its tiles">
            <image width="{mosaic.WidthPx}" height="{mosaic.HeightPx}" preserveAspectRatio="none" href="data:image/jpeg;base64,{Convert.ToBase64String(jpeg)}"/>

            """);
        foreach (MosaicTilePart tile in mosaic.Tiles)
        {
            string points = string.Join(' ', Corners(tile, sensor).Select(p => FormattableString.Invariant($"{p.X:0.#},{p.Y:0.#}")));
            svg.Append(CultureInfo.InvariantCulture, $"""
                <polygon points="{points}" fill="none" stroke="#fff" stroke-width="{4 * unit:0.#}"/><polygon points="{points}" fill="none" stroke="#111" stroke-width="{1.6 * unit:0.#}"/>
                {Label(Encode(tile.Id), tile.XPx, tile.YPx, 22 * unit)}

                """);
        }
        foreach (PairPart pair in mosaic.Pairs.Where(pair => pair.ResidualPx is not null && SharesSide(pair, mosaic, sensor)))
        {
            MosaicTilePart a = mosaic.Tiles.First(t => t.Id == pair.A), b = mosaic.Tiles.First(t => t.Id == pair.B);
            string text = pair.ResidualPx!.Value.ToString("0.000", CultureInfo.InvariantCulture);
            svg.Append(Label(text, (a.XPx + b.XPx) / 2, (a.YPx + b.YPx) / 2, 14 * unit)).Append('\n');
        }
        foreach (FindingPart finding in mosaic.Findings.Where(finding => finding.Box is not null))
            svg.Append(Box(finding, unit)).Append('\n');
        return svg.Append("</svg>\n").ToString();
    }

    private static string Box(FindingPart finding, double unit)
    {
        IReadOnlyList<int> box = finding.Box!;
        string place = FormattableString.Invariant($"x=\"{box[0]}\" y=\"{box[1]}\" width=\"{box[2]}\" height=\"{box[3]}\" fill=\"none\"");
        return FormattableString.Invariant(
            $"<g><title>{Encode(finding.Text)}</title><rect {place} stroke=\"#fff\" stroke-width=\"{5 * unit:0.#}\"/><rect {place} stroke=\"#b45309\" stroke-width=\"{2.5 * unit:0.#}\"/></g>");
    }

    // Diagonal neighbours would print over each other in the middle.
    private static bool SharesSide(PairPart pair, MosaicDocument mosaic, ISensor sensor)
    {
        MosaicTilePart a = mosaic.Tiles.First(t => t.Id == pair.A), b = mosaic.Tiles.First(t => t.Id == pair.B);
        double half = Math.Min(sensor.WidthPx, sensor.HeightPx) / 2.0;
        return Math.Min(Math.Abs(a.XPx - b.XPx), Math.Abs(a.YPx - b.YPx)) < half;
    }

    private static string Label(string text, double x, double y, double size) => FormattableString.Invariant(
        $"<text x=\"{x:0.#}\" y=\"{y + size / 3:0.#}\" font-family=\"system-ui, sans-serif\" font-size=\"{size:0.#}\" text-anchor=\"middle\" fill=\"#111\" stroke=\"#fff\" stroke-width=\"{size / 4:0.#}\" paint-order=\"stroke\">{text}</text>");

    private static IEnumerable<PlanePoint> Corners(MosaicTilePart tile, ISensor sensor)
    {
        // A file that was turned already is stored with swapped sides; its outline is then the turned one.
        (double w, double h) = ((sensor.WidthPx - 1) / 2.0, (sensor.HeightPx - 1) / 2.0);
        if (tile.StoredTurned == true)
            (w, h) = (h, w);
        return new PlanePoint[] { new(-w, -h), new(w, -h), new(w, h), new(-w, h) }.Select(corner => new PlanePoint(tile.XPx, tile.YPx) + corner.Rotated(tile.RotationDeg));
    }

    private static string Tiles(MosaicDocument mosaic)
    {
        var html = new StringBuilder("<h2>Tiles</h2>\n<div class=\"scroll\"><table><tr><th>tile</th><th>frame</th><th>centre x, px</th><th>centre y, px</th>"
            + "<th>rotation, deg</th><th>&#963;, px</th><th>&#963;, deg</th><th>gain R</th><th>G</th><th>B</th></tr>\n");
        foreach (MosaicTilePart t in mosaic.Tiles)
        {
            html.Append(CultureInfo.InvariantCulture, $"""
                <tr><td>{Encode(t.Id)}</td><td class="text">{Encode(t.File)}</td><td>{t.XPx:0.000}</td><td>{t.YPx:0.000}</td><td>{t.RotationDeg:0.00000}</td><td>{t.SigmaPx:0.0000}</td><td>{t.SigmaDeg:0.00000}</td><td>{t.Gain[0]:0.0000}</td><td>{t.Gain[1]:0.0000}</td><td>{t.Gain[2]:0.0000}</td></tr>

                """);
        }
        return html.Append("</table></div>\n").Append(SeriesOf(mosaic)).ToString();
    }

    private static string SeriesOf(MosaicDocument mosaic)
    {
        MosaicTilePart[] shot = [.. mosaic.Tiles.Where(tile => tile.Series is not null)];
        if (shot.Length == 0)
            return "";
        var html = new StringBuilder("<h2>Tiles shot several times</h2>\n<div class=\"scroll\"><table><tr><th>tile</th><th>merged by</th><th>frame</th><th>moved, px</th><th>light, stops</th></tr>\n");
        foreach (MosaicTilePart tile in shot)
        {
            foreach (SeriesFramePart frame in tile.Series!.Frames)
                html.Append(CultureInfo.InvariantCulture, $"<tr><td>{Encode(tile.Id)}</td><td class=\"text\">{tile.Series.Rule}</td><td class=\"text\">{Encode(frame.File)}</td><td>{frame.ShiftPx:0.000}</td><td>{frame.Stops:+0.00;-0.00;0.00}</td></tr>\n");
        }
        return html.Append("</table></div>\n").ToString();
    }

    private static string Pairs(MosaicDocument mosaic)
    {
        var html = new StringBuilder("<h2>Neighbours</h2>\n<div class=\"scroll\"><table><tr><th>tiles</th><th>measured</th><th>used</th><th>disagreement, px</th>"
            + "<th>exposure left R, stops</th><th>G</th><th>B</th><th>colour left, &#916;E00</th></tr>\n");
        foreach (PairPart p in mosaic.Pairs)
        {
            string exposure = p.ExposureStops is { } stops
                ? string.Concat(stops.Select(s => FormattableString.Invariant($"<td>{s:+0.000;-0.000;0.000}</td>")))
                : "<td>–</td><td>–</td><td>–</td>";
            string residual = p.ResidualPx?.ToString("0.0000", CultureInfo.InvariantCulture) ?? "–";
            string colour = p.DeltaE00?.ToString("0.00", CultureInfo.InvariantCulture) ?? "–";
            html.Append(CultureInfo.InvariantCulture, $"<tr><td>{Encode(p.A)} – {Encode(p.B)}</td><td>{p.Measured}</td><td>{p.Used}</td><td>{residual}</td>{exposure}<td>{colour}</td></tr>\n");
        }
        return html.Append("</table></div>\n").ToString();
    }

    private static string Record(MosaicDocument mosaic)
    {
        MergeOptionsPart o = mosaic.Options;
        string versions = string.Join(", ", mosaic.Versions.Select(v => $"{v.Key} {v.Value}"));
        return FormattableString.Invariant($"""
            <h2>How it was made</h2>
            <p>Tiles were looked for within {o.ToleranceMm:0.##} mm and {o.AngularToleranceDeg:0.##} degrees of the plan; motion: {Encode(mosaic.Motion)};
            shading taken out: {Encode(mosaic.Shading.Model)}; falloff of the lens: {Encode(Falloff(o))}; blending pyramid: {o.BlendLevels} levels. Versions: {Encode(versions)}. All of it stands in mosaic.json.</p>

            """);
    }

    // Said plainly, since nothing in the picture can show it.
    private static string Falloff(MergeOptionsPart options) => options switch
    {
        { Falloff: "remove", ImageDistanceMm: { } distance } => FormattableString.Invariant($"taken out by cos^4 at {distance:0.#} mm"),
        { Falloff: "remove" } => "taken out by cos^4, with the lens where the plan puts it",
        { Flats: [{ Tile: not null }, ..] } => "taken out by the flat frames of the tiles",
        _ => "kept, as it lies on the image plane and no overlap can show it",
    };

    private static string Encode(string text) => WebUtility.HtmlEncode(text);
}
