using PdfSharp.Drawing;
using PdfSharp.Fonts;
using PdfSharp.Pdf;

namespace Imbrex.Engine.Cards;

/// <summary>The two faces that are embedded, and how wide their lines run. The same everywhere, whatever is installed.</summary>
internal static class CardFonts
{
    private const string Family = "DejaVu Sans Condensed";
    private static readonly XPdfFontOptions Options = new(PdfFontEncoding.Unicode, PdfFontEmbedding.TryComputeSubset);
    private static readonly Lock Gate = new();
    private static readonly XGraphics Measure = Begin();

    /// <summary>The face at a size in points.</summary>
    public static XFont Of(double points, bool bold) => new(Family, points, bold ? XFontStyleEx.Bold : XFontStyleEx.Regular, Options);

    /// <summary>Width of a line, mm.</summary>
    public static double Width(string text, double points, bool bold = false)
    {
        lock (Gate)
            return Measure.MeasureString(text, Of(points, bold)).Width * Marks.MmPerPoint;
    }

    /// <summary>Breaks a text into lines no wider than given.</summary>
    public static IEnumerable<string> Lines(string text, double points, double width, bool bold = false)
    {
        string line = "";
        foreach (string word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            string longer = line.Length == 0 ? word : $"{line} {word}";
            if (line.Length > 0 && Width(longer, points, bold) > width)
            {
                yield return line;
                longer = word;
            }
            line = longer;
        }
        if (line.Length > 0)
            yield return line;
    }

    /// <summary>As much of a name as fits, with dots where some is left out.</summary>
    public static string Shortened(string text, double points, bool bold, double width)
    {
        if (Width(text, points, bold) <= width)
            return text;
        int length = text.Length;
        while (length > 0 && Width(text[..length] + "…", points, bold) > width)
            length--;
        return text[..length] + "…";
    }

    // The library keeps its resolver for the whole process and asks it for every face by name.
    private static XGraphics Begin()
    {
        GlobalFontSettings.FontResolver ??= new Embedded();
        return XGraphics.CreateMeasureContext(new XSize(1000, 1000), XGraphicsUnit.Point, XPageDirection.Downwards);
    }

    private sealed class Embedded : IFontResolver
    {
        public FontResolverInfo? ResolveTypeface(string familyName, bool isBold, bool isItalic) =>
            familyName == Family ? new(isBold ? "DejaVuSansCondensed-Bold" : "DejaVuSansCondensed") : null;

        public byte[] GetFont(string faceName)
        {
            using Stream stream = typeof(CardFonts).Assembly.GetManifestResourceStream(faceName + ".ttf")!;
            byte[] face = new byte[stream.Length];
            stream.ReadExactly(face);
            return face;
        }
    }
}
