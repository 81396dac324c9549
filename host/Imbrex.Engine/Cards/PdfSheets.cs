using System.Text;
using System.Text.RegularExpressions;
using Imbrex.Sdk.Geometry;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Imbrex.Engine.Cards;

/// <summary>Writes sheets as PDF. The same sheets give the same bytes.</summary>
public static partial class PdfSheets
{
    private const double PointsPerMm = 1 / Cards.Marks.MmPerPoint;

    /// <summary>Writes.</summary>
    /// <param name="title">The document's title.</param>
    /// <param name="sheets">Its pages.</param>
    public static byte[] Write(string title, IReadOnlyList<Sheet> sheets)
    {
        ArgumentNullException.ThrowIfNull(sheets);
        using var document = new PdfDocument();
        document.Info.Title = title;
        document.Options.CompressContentStreams = false;
        foreach (Sheet sheet in sheets)
            Draw(document.AddPage(), sheet);
        using var stream = new MemoryStream();
        document.Save(stream, closeStream: false);
        return Fixed(stream.ToArray());
    }

    private static void Draw(PdfPage page, Sheet sheet)
    {
        page.Width = XUnit.FromMillimeter(sheet.Paper.WidthMm);
        page.Height = XUnit.FromMillimeter(sheet.Paper.HeightMm);
        using XGraphics graphics = XGraphics.FromPdfPage(page);
        foreach (Mark mark in sheet.Marks)
            Draw(graphics, mark);
    }

    private static void Draw(XGraphics graphics, Mark mark)
    {
        switch (mark)
        {
            case LineMark line:
                graphics.DrawLine(Pen(line.Width, line.Dashed), At(line.From), At(line.To));
                break;
            case PathMark { Closed: false } path:
                graphics.DrawLines(Pen(path.Width, path.Dashed), [.. path.Points.Select(At)]);
                break;
            case PathMark path:
                Closed(graphics, path);
                break;
            case DiscMark disc:
                double r = disc.Radius * PointsPerMm;
                XPoint centre = At(disc.Centre);
                graphics.DrawEllipse(Pen(disc.Width, dashed: false), XBrushes.White, centre.X - r, centre.Y - r, 2 * r, 2 * r);
                break;
            case TextMark text:
                Write(graphics, text);
                break;
        }
    }

    private static void Closed(XGraphics graphics, PathMark path)
    {
        XPoint[] points = [.. path.Points.Select(At)];
        if (path.Fill is { } grey)
            graphics.DrawPolygon(new XSolidBrush(XColor.FromGrayScale(grey)), points, XFillMode.Winding);
        if (path.Width > 0)
            graphics.DrawPolygon(Pen(path.Width, path.Dashed), points);
    }

    private static void Write(XGraphics graphics, TextMark text)
    {
        var format = new XStringFormat
        {
            Alignment = text.Side switch { TextSide.Middle => XStringAlignment.Center, TextSide.End => XStringAlignment.Far, _ => XStringAlignment.Near },
            LineAlignment = XLineAlignment.BaseLine,
        };
        XGraphicsState state = graphics.Save();
        if (text.Over)
            graphics.RotateAtTransform(180, At(text.At));
        graphics.DrawString(text.Text, CardFonts.Of(text.Points, text.Bold), XBrushes.Black, At(text.At), format);
        graphics.Restore(state);
    }

    private static XPen Pen(double width, bool dashed)
    {
        var pen = new XPen(XColors.Black, width * PointsPerMm);
        if (dashed)
            pen.DashPattern = [1.6 / width, 1 / width];
        return pen;
    }

    private static XPoint At(PlanePoint point) => new(point.X * PointsPerMm, point.Y * PointsPerMm);

    // The library puts the clock and random names into every file: the dates, the file's identifiers, the prefixes of the fonts' subsets.
    // They are replaced by others of the same length, so that no offset in the file moves.
    private static byte[] Fixed(byte[] pdf)
    {
        string text = Encoding.Latin1.GetString(pdf);
        text = Dates().Replace(text, match => match.Groups[1].Value + Digits(match.Groups[2].Value, "20000101000000"));
        text = Moments().Replace(text, match => match.Groups[1].Value + Digits(match.Groups[2].Value, "20000101000000"));
        text = Identifiers().Replace(text, match => Hex().Replace(match.Value, hex => new string('0', hex.Length)));
        text = Uuids().Replace(text, match => Hex().Replace(match.Value, hex => new string('0', hex.Length)));
        var prefixes = new Dictionary<string, string>(StringComparer.Ordinal);
        text = Prefixes().Replace(text, match =>
        {
            if (!prefixes.TryGetValue(match.Groups[1].Value, out string? fixedName))
                prefixes.Add(match.Groups[1].Value, fixedName = "IMBRX" + (char)('A' + prefixes.Count));
            return $"/{fixedName}+";
        });
        return Encoding.Latin1.GetBytes(text);
    }

    private static string Digits(string date, string digits)
    {
        int next = 0;
        return string.Concat(date.Select(c => char.IsAsciiDigit(c) ? next < digits.Length ? digits[next++] : '0' : c == '-' && next == digits.Length ? '+' : c));
    }

    [GeneratedRegex(@"(/(?:CreationDate|ModDate)\s*\(D:)([^)]*)")]
    private static partial Regex Dates();

    [GeneratedRegex(@"(<xmp:(?:CreateDate|ModifyDate|MetadataDate)>)([^<]*)")]
    private static partial Regex Moments();

    [GeneratedRegex(@"/ID\s*\[[^\]]*\]")]
    private static partial Regex Identifiers();

    [GeneratedRegex(@"uuid:[0-9A-Fa-f-]{36}")]
    private static partial Regex Uuids();

    [GeneratedRegex(@"(?<=[<:-]|[0-9A-Fa-f])[0-9A-Fa-f]+")]
    private static partial Regex Hex();

    [GeneratedRegex(@"/([A-Z]{6})\+")]
    private static partial Regex Prefixes();
}
