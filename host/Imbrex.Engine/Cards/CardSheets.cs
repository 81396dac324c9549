using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>
/// Lays a card out on paper: drawing, table, words in two columns. The largest type with which all fits on one sheet is taken, and never one
/// below 7 points; what does not fit then goes on to a second sheet, and the first says so.
/// </summary>
public static class CardSheets
{
    /// <summary>Smallest type on a card, points.</summary>
    public const double LeastPoints = 7;

    private const double Margin = 6;
    private const double Gap = 2;
    private const double LeastDrawing = 30;
    private const double MostDrawing = 62;
    private static readonly double[] Sizes = [8.5, 8, 7.5, LeastPoints];

    /// <summary>Lays it out; one sheet where that is legible.</summary>
    public static IReadOnlyList<Sheet> Of(FieldCard card, Paper paper)
    {
        ArgumentNullException.ThrowIfNull(card);
        ArgumentNullException.ThrowIfNull(paper);
        foreach (double size in Sizes)
        {
            if (OnOne(card, paper, size) is { } sheet)
                return [sheet];
        }
        return OnSeveral(card, paper, Sizes.First(size => size == LeastPoints || new Blocks(card, paper.WidthMm - 2 * Margin, size).TableFits));
    }

    private static Sheet? OnOne(FieldCard card, Paper paper, double points)
    {
        var block = new Blocks(card, paper.WidthMm - 2 * Margin, points);
        if (!block.TableFits)
            return null;
        (double Height, IReadOnlyList<Mark> Marks) head = block.Head(), table = block.Table(0, card.Rows.Count), words = block.Words();
        double room = paper.HeightMm - 2 * Margin - head.Height - table.Height - words.Height - 3 * Gap;
        if (room < LeastDrawing)
            return null;
        (double Height, IReadOnlyList<Mark> Marks) drawing = block.Drawing(Math.Min(room, MostDrawing));
        return Stacked(paper, [head, drawing, table, words]);
    }

    private static List<Sheet> OnSeveral(FieldCard card, Paper paper, double points)
    {
        var block = new Blocks(card, paper.WidthMm - 2 * Margin, points);
        double room = paper.HeightMm - 2 * Margin;
        var sheets = new List<Sheet>();
        var parts = new List<(double Height, IReadOnlyList<Mark> Marks)> { block.Head(), block.Note("Continued: this card has more than one page, so that it stays legible."), block.Drawing(LeastDrawing + 10) };
        int next = 0;
        while (next < card.Rows.Count)
        {
            double left = room - parts.Sum(part => part.Height + Gap);
            int count = Math.Max(1, Enumerable.Range(1, card.Rows.Count - next).LastOrDefault(rows => block.Table(next, rows).Height <= left));
            parts.Add(block.Table(next, count));
            next += count;
            if (next < card.Rows.Count)
                Turn();
        }
        (double Height, IReadOnlyList<Mark> Marks) words = block.Words();
        if (room - parts.Sum(part => part.Height + Gap) < words.Height)
            Turn();
        parts.Add(words);
        sheets.Add(Stacked(paper, parts));
        return sheets;

        void Turn()
        {
            sheets.Add(Stacked(paper, parts));
            parts.Clear();
            parts.Add(block.Note(FormattableString.Invariant($"Page {sheets.Count + 1} of: {card.Title}")));
        }
    }

    private static Sheet Stacked(Paper paper, IReadOnlyList<(double Height, IReadOnlyList<Mark> Marks)> parts)
    {
        var marks = new List<Mark>();
        double y = Margin;
        foreach ((double height, IReadOnlyList<Mark> part) in parts)
        {
            PlanePoint corner = new(Margin, y);
            marks.AddRange(part.Select(mark => mark.Moved(corner)));
            y += height + Gap;
        }
        return new(paper, marks);
    }
}
