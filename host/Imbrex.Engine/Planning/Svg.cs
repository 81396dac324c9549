using System.Globalization;
using System.Text;

namespace Imbrex.Engine.Planning;

/// <summary>Writes SVG elements with invariant numbers and escaped text.</summary>
internal sealed class Svg
{
    private readonly StringBuilder _text = new();

    public void Open(FormattableString element) => _text.Append('<').Append(Invariant(element)).Append(">\n");

    public void Close(string name) => _text.Append("</").Append(name).Append(">\n");

    public void Element(FormattableString element) => _text.Append('<').Append(Invariant(element)).Append("/>\n");

    public void Text(double x, double y, string css, string text) =>
        _text.Append(CultureInfo.InvariantCulture, $"<text x=\"{x:0.###}\" y=\"{y:0.###}\" class=\"{css}\">").Append(Escape(text)).Append("</text>\n");

    public void Style(string css) => _text.Append("<style>").Append(css).Append("</style>\n");

    public void Title(string text) => _text.Append("<title>").Append(Escape(text)).Append("</title>\n");

    /// <summary>A path of closed rings.</summary>
    public static string Path(IEnumerable<IEnumerable<(double X, double Y)>> rings) =>
        string.Join(' ', rings.Select(ring => "M" + string.Join('L', ring.Select(point => FormattableString.Invariant($"{point.X:0.####},{point.Y:0.####}"))) + "Z"));

    public override string ToString() => _text.ToString();

    private static string Invariant(FormattableString element) => FormattableString.Invariant(element);

    // Names come from users: besides the marks of XML, characters that it forbids are left out.
    private static string Escape(string text) => string.Concat(text.Where(c => c >= ' ' && !char.IsSurrogate(c) && c < '\uFFFE').Select(c => c switch
    {
        '&' => "&amp;",
        '<' => "&lt;",
        '>' => "&gt;",
        '"' => "&quot;",
        _ => c.ToString(),
    }));
}
