using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>The parts of a card at one width and size of type, each with its own corner at (0, 0).</summary>
internal sealed class Blocks(FieldCard card, double width, double points)
{
    private const double ColumnGap = 4;
    private const double Padding = 0.9;
    private const double LeastFileColumn = 15;
    private const double LongestName = 16;
    private const double Rounding = 1e-6;
    private const double Thin = 0.2;
    private const double Thick = 0.45;

    private readonly double _line = points * Marks.MmPerPoint * 1.16;

    public (double Height, IReadOnlyList<Mark> Marks) Head()
    {
        const double Larger = 2.5;
        string title = CardFonts.Shortened(card.Title, points + Larger, bold: true, width);
        double baseline = (points + Larger) * Marks.MmPerPoint * 0.85;
        var marks = new List<Mark> { new TextMark(new(0, baseline), title, points + Larger, Bold: true) };
        double y = baseline + Lower;
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
        double row = Math.Max(4.2, _line * 1.25), y = heads.Max(lines => lines.Length) * _line + 2 * Lower;
        var marks = new List<Mark> { new LineMark(new(0, 0), new(width, 0), Thick), new LineMark(new(0, y), new(width, y), Thick) };
        for (int i = 0; i < heads.Length; i++)
            marks.AddRange(heads[i].Select((text, line) => new TextMark(new(edges[i] + Padding, (line + 1) * _line), text, points, Bold: true)));
        foreach (CardRow frame in card.Rows.Skip(first).Take(count))
        {
            if (frame.Before is { } before)
                y = Before(before, y, marks);
            Row(frame, edges, y, row, marks);
            y += row;
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

    private void Row(CardRow frame, double[] edges, double top, double height, List<Mark> marks)
    {
        double baseline = top + height / 2 + 0.36 * points * Marks.MmPerPoint;
        for (int i = 0; i < frame.Cells.Count; i++)
        {
            bool bold = i is 0 or 2;
            string text = CardFonts.Shortened(frame.Cells[i], points, bold, edges[i + 1] - edges[i] - Padding);
            marks.Add(new TextMark(new(edges[i] + Padding, baseline), text, points, bold));
        }
        double box = Math.Min(3, height - 1), column = edges[frame.Cells.Count];
        marks.Add(Marks.Box(column + Padding, top + (height - box) / 2, box, box, 0.35));
        marks.Add(new LineMark(new(0, top + height), new(width, top + height), Thin));
        marks.Add(new LineMark(new(edges[^2], top), new(edges[^2], top + height), Thin));
    }

    // As wide as its widest cell and its head on two lines; the file number has what is left.
    private double[] Edges()
    {
        double[] edges = new double[card.Columns.Count + 1];
        for (int i = 0; i < card.Columns.Count - 1; i++)
        {
            double head = OnTwoLines(card.Columns[i]);
            double cells = card.Rows.Max(row => i < row.Cells.Count ? CardFonts.Width(row.Cells[i], points, i is 0 or 2) : 0);
            edges[i + 1] = edges[i] + Math.Max(head, i == 1 ? Math.Min(cells, LongestName) : cells) + 2 * Padding;
        }
        edges[^1] = Math.Max(width, edges[^2] + LeastFileColumn);
        return edges;
    }

    private double OnTwoLines(string head)
    {
        string[] words = head.Split(' ');
        return Enumerable.Range(1, words.Length).Min(first => Math.Max(
            CardFonts.Width(string.Join(' ', words.Take(first)), points, bold: true), CardFonts.Width(string.Join(' ', words.Skip(first)), points, bold: true)));
    }

    /// <summary>Whether the table is narrow enough for the paper.</summary>
    public bool TableFits => Edges()[^1] <= width + Rounding;
}
