using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>The parts of a card at one width and size of type, each with its own corner at (0, 0).</summary>
internal sealed class Blocks(FieldCard card, double width, double points)
{
    private const double ColumnGap = 4;
    private const double Padding = 0.9;
    private const int NameColumn = 1;
    private const int DialColumn = 2;
    private const double LeastFileColumn = 15;
    private const double LongestName = 16;
    private const double ShortestName = 10;
    private const double Rounding = 1e-6;
    private const double Thin = 0.2;
    private const double Thick = 0.45;

    private readonly double _line = points * Marks.MmPerPoint * 1.16;

    public (double Height, IReadOnlyList<Mark> Marks) Head()
    {
        const double Larger = 2.5;
        const int MostLines = 2;
        double size = (points + Larger) * Marks.MmPerPoint, y = -0.25 * size;
        var marks = new List<Mark>();
        foreach (string line in CardFonts.Lines(card.Title, points + Larger, width, bold: true).Take(MostLines))
            marks.Add(new TextMark(new(0, y += 1.1 * size), CardFonts.Shortened(line, points + Larger, bold: true, width), points + Larger, Bold: true));
        y += Lower;
        foreach (string line in CardFonts.Lines($"{card.Viewpoint} {TileDrawing.Key(card.Plan)}", points, width))
            marks.Add(new TextMark(new(0, y += _line), line, points));
        return (y + Lower, marks);
    }

    public (double Height, IReadOnlyList<Mark> Marks) Note(string text) => (_line, [new TextMark(new(0, _line - Lower), CardFonts.Shortened(text, points, bold: true, width), points, Bold: true)]);

    public (double Height, IReadOnlyList<Mark> Marks) Drawing(double height)
    {
        Drawing drawing = TileDrawing.Of(card.Plan, width, height);
        PlanePoint corner = new((width - drawing.WidthMm) / 2, 0);
        return (drawing.HeightMm, [.. drawing.Marks.Select(mark => mark.Moved(corner))]);
    }

    /// <summary>Rows of the table under its heads.</summary>
    public (double Height, IReadOnlyList<Mark> Marks) Table(int first, int count)
    {
        double[] edges = Edges();
        string[][] heads = [.. card.Columns.Select((head, i) => CardFonts.Lines(head, points, edges[i + 1] - edges[i] - 2 * Padding + Rounding, bold: true).ToArray())];
        double row = Math.Max(3.9, _line * 1.25), y = heads.Max(lines => lines.Length) * _line + 2 * Lower;
        var marks = new List<Mark> { new LineMark(new(0, 0), new(width, 0), Thick), new LineMark(new(0, y), new(width, y), Thick) };
        for (int i = 0; i < heads.Length; i++)
            marks.AddRange(heads[i].Select((text, line) => new TextMark(new(edges[i] + Padding, (line + 1) * _line), text, points, Bold: true)));
        foreach (CardRow frame in card.Rows.Skip(first).Take(count))
        {
            if (frame.Before is { } before)
                y = Before(before, y, marks);
            y += Row(frame, edges, y, row, marks);
        }
        if (first + count == card.Rows.Count && card.Footnote.Length > 0)
            marks.Add(new TextMark(new(0, (y += _line) - Lower / 2), card.Footnote, points));
        return (y, marks);
    }

    /// <summary>All sections in two columns of even height.</summary>
    public (double Height, IReadOnlyList<Mark> Marks) Words()
    {
        double column = (width - ColumnGap) / 2;
        string[][][] lines = [.. card.Sections.Select(section => section.Lines.Select(text => CardFonts.Lines(text, points, column).ToArray()).ToArray())];
        double[] heights = [.. lines.Select(section => (1 + section.Sum(text => text.Length)) * _line + SectionGap)];
        int split = Enumerable.Range(1, heights.Length).MinBy(left => Math.Max(heights.Take(left).Sum(), heights.Skip(left).Sum()));
        var marks = new List<Mark>();
        double left = 0, right = 0;
        for (int i = 0; i < heights.Length; i++)
        {
            if (i < split)
                left = Section(i, 0, left);
            else
                right = Section(i, column + ColumnGap, right);
        }
        return (Math.Max(left, right), marks);

        double Section(int i, double x, double y)
        {
            marks.Add(new TextMark(new(x, y + _line - Lower), card.Sections[i].Heading, points, Bold: true));
            double at = y + _line;
            foreach (string line in lines[i].SelectMany(text => text))
                marks.Add(new TextMark(new(x, (at += _line) - Lower), line, points));
            return at + SectionGap;
        }
    }

    private double Lower => 0.25 * _line;

    private double SectionGap => 0.35 * _line;

    // What to change fills a line of its own, white on nothing: a bar at its left and the words in bold.
    private double Before(string text, double y, List<Mark> marks)
    {
        foreach (string line in CardFonts.Lines(text, points, width - 2 * Padding, bold: true))
        {
            y += _line;
            marks.Add(new TextMark(new(Padding, y - Lower / 2), line, points, Bold: true));
        }
        y += Lower;
        marks.Add(new LineMark(new(0, y), new(width, y), Thin));
        return y;
    }

    private double Row(CardRow frame, double[] edges, double top, double least, List<Mark> marks)
    {
        string[][] cells = [.. frame.Cells.Select((cell, i) => CellLines(cell, i, edges[i + 1] - edges[i] - 2 * Padding + Rounding))];
        int lines = cells.Max(cell => cell.Length);
        double height = least + (lines - 1) * _line, baseline = top + least / 2 + 0.36 * points * Marks.MmPerPoint;
        for (int i = 0; i < cells.Length; i++)
            marks.AddRange(cells[i].Select((text, line) => new TextMark(new(edges[i] + Padding, baseline + line * _line), text, points, IsBold(i))));
        double box = Math.Min(3, height - 1), column = edges[frame.Cells.Count];
        marks.Add(Marks.Box(column + Padding, top + (height - box) / 2, box, box, 0.35));
        marks.Add(new LineMark(new(0, top + height), new(width, top + height), Thin));
        marks.Add(new LineMark(new(edges[^2], top), new(edges[^2], top + height), Thin));
        return height;
    }

    private static bool IsBold(int column) => column is 0 or DialColumn;

    // A name has one line and may be shortened; what to do never is.
    private string[] CellLines(string cell, int column, double room) => column == NameColumn
        ? [CardFonts.Shortened(cell, points, bold: false, room)]
        : [.. CardFonts.Lines(cell, points, room, IsBold(column))];

    // As wide as its widest cell and its head on two lines; the file number has what is left. Where that is too
    // little, the names are shortened, and then cells take two lines.
    private double[] Edges()
    {
        double[] edges = Edges(Whole, LongestName);
        if (edges[^1] > width + Rounding)
            edges = Edges(Whole, ShortestName);
        return edges[^1] > width + Rounding ? Edges(OnTwoLines, LongestName) : edges;
    }

    private double Whole(string text, bool bold) => CardFonts.Width(text, points, bold);

    private double[] Edges(Func<string, bool, double> cell, double longestName)
    {
        double[] edges = new double[card.Columns.Count + 1];
        for (int i = 0; i < card.Columns.Count - 1; i++)
        {
            double head = OnTwoLines(card.Columns[i], bold: true);
            double cells = card.Rows.Max(row => i < row.Cells.Count ? cell(row.Cells[i], IsBold(i)) : 0);
            edges[i + 1] = edges[i] + Math.Max(head, i == NameColumn ? Math.Min(cells, longestName) : cells) + 2 * Padding;
        }
        edges[^1] = Math.Max(width, edges[^2] + LeastFileColumn);
        return edges;
    }

    private double OnTwoLines(string text, bool bold)
    {
        string[] words = text.Split(' ');
        return Enumerable.Range(1, words.Length).Min(first => Math.Max(
            CardFonts.Width(string.Join(' ', words.Take(first)), points, bold), CardFonts.Width(string.Join(' ', words.Skip(first)), points, bold)));
    }

    /// <summary>Whether the table is narrow enough for the paper.</summary>
    public bool TableFits => Edges()[^1] <= width + Rounding;
}
