using System.Text;
using System.Xml;

namespace Imbrex.Hosting.Packages;

/// <summary>
/// A drawing is opened by whatever shows SVG, mostly a browser, which would run scripts in it and fetch what it refers to. So it may hold shapes, text and references into
/// itself, nothing else.
/// </summary>
internal static class DrawingCheck
{
    private const string SvgSpace = "http://www.w3.org/2000/svg";

    private static readonly HashSet<string> Shapes = new(StringComparer.Ordinal)
    {
        "svg", "g", "defs", "title", "desc", "style", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan", "use", "symbol", "marker", "pattern", "mask",
        "clipPath", "linearGradient", "radialGradient", "stop",
    };

    private static readonly XmlReaderSettings Settings = new() { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null, MaxCharactersInDocument = PackageLimits.Harmless * 8 };

    /// <summary>Why a drawing is refused, as the rest of a sentence that begins with its name; null where it is sound.</summary>
    public static string? Fault(byte[] content)
    {
        try
        {
            using var reader = XmlReader.Create(new MemoryStream(content), Settings);
            return Fault(reader);
        }
        catch (Exception e) when (e is XmlException or ArgumentException)
        {
            return "is no SVG drawing, or declares a document type";
        }
    }

    private static string? Fault(XmlReader reader)
    {
        bool isFirst = true, inStyle = false;
        // What shows a drawing reads all of a style as one text, however comments and sections divide it.
        var style = new StringBuilder();
        while (reader.Read())
        {
            if (reader.NodeType == XmlNodeType.ProcessingInstruction)
                return "holds a processing instruction, which can load a style sheet";
            if (inStyle && reader.NodeType is XmlNodeType.Text or XmlNodeType.CDATA or XmlNodeType.SignificantWhitespace or XmlNodeType.Whitespace)
                style.Append(reader.Value);
            if (reader.NodeType == XmlNodeType.EndElement)
            {
                if (inStyle && LeadsOut(style.ToString()))
                    return "holds a style that loads something";
                inStyle = false;
                style.Clear();
            }
            if (reader.NodeType != XmlNodeType.Element)
                continue;
            if (inStyle)
                return "holds an element in its style";
            string name = reader.LocalName;
            if (reader.NamespaceURI != SvgSpace || !Shapes.Contains(name) || (isFirst && name != "svg"))
                return $"holds the element '{Visible.Text(name)}', and a drawing may hold shapes and text only";
            (isFirst, inStyle) = (false, name == "style" && !reader.IsEmptyElement);
            if (AttributeFault(reader) is { } fault)
                return fault;
        }
        return null;
    }

    private static string? AttributeFault(XmlReader reader)
    {
        while (reader.MoveToNextAttribute())
        {
            string name = reader.LocalName;
            if (name.StartsWith("on", StringComparison.OrdinalIgnoreCase))
                return $"holds the attribute '{Visible.Text(name)}', which runs a script";
            if (name is "href" or "src" or "base" ? !reader.Value.StartsWith('#') : reader.Prefix != "xmlns" && name != "xmlns" && LeadsOut(reader.Value))
                return $"refers in '{Visible.Text(name)}' to something outside itself";
        }
        reader.MoveToElement();
        return null;
    }

    // An at sign imports, a backslash can spell anything, and a URL may only name a part of the drawing.
    private static bool LeadsOut(string style)
    {
        string text = style.Replace("url(#", "", StringComparison.Ordinal);
        return text.AsSpan().ContainsAny('@', '\\') || text.Contains("url", StringComparison.OrdinalIgnoreCase) || text.Contains("image", StringComparison.OrdinalIgnoreCase)
            || text.Contains("script:", StringComparison.OrdinalIgnoreCase);
    }
}
