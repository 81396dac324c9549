using System.Globalization;
using System.Net;
using System.Text;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>Writes a drawing as SVG inside a page; a unit is a millimetre.</summary>
internal static class MarkSvg
{
    public static void Append(StringBuilder html, Drawing drawing, string name)
    {
        html.Append(CultureInfo.InvariantCulture, $"<svg role=\"img\" aria-label=\"{WebUtility.HtmlEncode(name)}\" viewBox=\"0 0 {drawing.WidthMm:0.###} {drawing.HeightMm:0.###}\" fill=\"none\" stroke=\"#000\">\n");
        foreach (Mark mark in drawing.Marks)
            html.Append(Element(mark)).Append('\n');
        html.Append("</svg>\n");
    }

    private static string Element(Mark mark) => mark switch
    {
        LineMark line => FormattableString.Invariant($"<path d=\"M{At(line.From)}L{At(line.To)}\" stroke-width=\"{line.Width:0.###}\"{Dashes(line.Dashed)}/>"),
        PathMark path => FormattableString.Invariant($"<path d=\"M{string.Join('L', path.Points.Select(At))}{(path.Closed ? "Z" : "")}\" {Stroke(path.Width)}{Dashes(path.Dashed)}{Fill(path.Fill)}/>"),
        DiscMark disc => FormattableString.Invariant($"<circle cx=\"{disc.Centre.X:0.###}\" cy=\"{disc.Centre.Y:0.###}\" r=\"{disc.Radius:0.###}\" fill=\"#fff\" stroke-width=\"{disc.Width:0.###}\"/>"),
        TextMark text => FormattableString.Invariant($"<text x=\"{text.At.X:0.###}\" y=\"{text.At.Y:0.###}\" font-size=\"{text.Points * Marks.MmPerPoint:0.###}\" text-anchor=\"{Anchor(text.Side)}\" fill=\"#000\" stroke=\"none\"{(text.Bold ? " font-weight=\"bold\"" : "")}>{WebUtility.HtmlEncode(text.Text)}</text>"),
        _ => throw new ArgumentOutOfRangeException(nameof(mark), mark, "This kind of mark is not known."),
    };

    private static string At(PlanePoint point) => FormattableString.Invariant($"{point.X:0.###},{point.Y:0.###}");

    private static string Stroke(double width) => width > 0 ? FormattableString.Invariant($"stroke-width=\"{width:0.###}\"") : "stroke=\"none\"";

    private static string Dashes(bool dashed) => dashed ? " stroke-dasharray=\"1.6 1\"" : "";

    private static string Fill(double? grey) => grey is { } light ? FormattableString.Invariant($" fill=\"rgb({100 * light:0.#}% {100 * light:0.#}% {100 * light:0.#}%)\"") : "";

    private static string Anchor(TextSide side) => side switch { TextSide.Middle => "middle", TextSide.End => "end", _ => "start" };
}
