using System.Globalization;
using System.Net;
using System.Text;

namespace Imbrex.Engine.Cards;

/// <summary>Writes a card as a page for a screen or a browser's printer, without any address outside it.</summary>
public static class CardHtml
{
    private const string Css = """
        body{font:11pt/1.3 "DejaVu Sans Condensed",Arial,"Liberation Sans",sans-serif;color:#000;background:#fff;margin:1em auto;max-width:52em;padding:0 1em}
        h1{font-size:1.3em;margin:0 0 .2em}h2{font-size:1em;margin:0}p{margin:.1em 0}svg{display:block;margin:.5em auto;width:100%;max-height:60vh}
        table{border-collapse:collapse;width:100%}th,td{text-align:left;border-bottom:1px solid #000;padding:.15em .3em;vertical-align:top}
        thead th{border-top:2px solid #000;border-bottom:2px solid #000}td:nth-child(1),td:nth-child(3),.before{font-weight:bold}
        .box{display:inline-block;width:.9em;height:.9em;border:1.5px solid #000}.file{min-width:6em;border-left:1px solid #000}
        .words{columns:2;column-gap:1.5em}section{break-inside:avoid;padding-bottom:.5em}.words{margin-top:.6em}
        """;

    /// <summary>Writes the page for a paper.</summary>
    public static byte[] Write(FieldCard card, Paper paper)
    {
        ArgumentNullException.ThrowIfNull(card);
        ArgumentNullException.ThrowIfNull(paper);
        var html = new StringBuilder();
        html.Append("<!DOCTYPE html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\n<title>")
            .Append(Text(card.Title)).Append("</title>\n<style>").Append(Css).Append(Printed(paper)).Append("</style></head>\n<body>\n");
        html.Append("<h1>").Append(Text(card.Title)).Append("</h1>\n<p>").Append(Text($"{card.Viewpoint} {TileDrawing.Key(card.Plan)}")).Append("</p>\n");
        Drawing drawing = TileDrawing.Of(card.Plan, paper.WidthMm - 12, 52);
        MarkSvg.Append(html, drawing, card.Title);
        Table(html, card);
        html.Append("<div class=\"words\">\n");
        foreach (CardSection section in card.Sections)
        {
            html.Append("<section><h2>").Append(Text(section.Heading)).Append("</h2>\n");
            foreach (string line in section.Lines)
                html.Append("<p>").Append(Text(line)).Append("</p>\n");
            html.Append("</section>\n");
        }
        return Encoding.UTF8.GetBytes(html.Append("</div>\n</body></html>\n").ToString());
    }

    private static void Table(StringBuilder html, FieldCard card)
    {
        html.Append("<table><thead><tr>");
        foreach (string column in card.Columns)
            html.Append("<th scope=\"col\">").Append(Text(column)).Append("</th>");
        html.Append("</tr></thead>\n<tbody>\n");
        foreach (CardRow row in card.Rows)
        {
            if (row.Before is { } before)
                html.Append(CultureInfo.InvariantCulture, $"<tr><td class=\"before\" colspan=\"{card.Columns.Count}\">{Text(before)}</td></tr>\n");
            html.Append("<tr>");
            foreach (string cell in row.Cells)
                html.Append("<td>").Append(Text(cell)).Append("</td>");
            html.Append("<td><span class=\"box\"></span></td><td class=\"file\"></td></tr>\n");
        }
        html.Append("</tbody></table>\n");
        if (card.Footnote.Length > 0)
            html.Append("<p>").Append(Text(card.Footnote)).Append("</p>\n");
    }

    private static string Printed(Paper paper) => FormattableString.Invariant(
        $"@page{{size:{paper.WidthMm}mm {paper.HeightMm}mm;margin:6mm}}@media print{{body{{font-size:7pt;line-height:1.16;margin:0;padding:0;max-width:none}}h1{{font-size:9.5pt}}svg{{max-height:50mm;margin:1mm auto}}}}");

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
