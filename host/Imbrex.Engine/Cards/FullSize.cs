using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>What every sheet at full size carries: a line and a square to measure, and how to print it.</summary>
internal static class FullSize
{
    public const double Margin = 10;
    public const double CheckLine = 100;
    public const double CheckSquare = 50;

    /// <summary>Height of the foot with line, square and words.</summary>
    public const double Foot = CheckSquare + 2;

    /// <summary>Width that the foot needs.</summary>
    public const double FootWidth = CheckLine + 10 + CheckSquare;

    private const double Words = 9;

    /// <summary>The smallest sheet, standing or lying, that holds a drawing between its margins.</summary>
    /// <exception cref="InputException">None does.</exception>
    public static Paper Holding(Paper card, PlaneSize drawing, string what)
    {
        (double width, double height) = (Math.Max(drawing.Width, FootWidth) + 2 * Margin, drawing.Height + 2 * Margin);
        Paper[] sheets = [.. card.Larger.SelectMany(paper => new[] { paper, paper.Lying })];
        return sheets.FirstOrDefault(paper => paper.WidthMm >= width && paper.HeightMm >= height)
            ?? throw new InputException(
                FormattableString.Invariant($"The {what} needs a sheet of {width:0.#} x {height:0.#} mm, and the largest is {sheets[^1].Name} with {sheets[^1].WidthMm} x {sheets[^1].HeightMm} mm."),
                what, "At full size only a smaller format or a shorter travel fits; leave this drawing out.");
    }

    /// <summary>The foot, its top left corner at a place.</summary>
    public static IEnumerable<Mark> FootAt(PlanePoint at, string first, string second)
    {
        double y = at.Y + 1;
        PlanePoint left = new(at.X, y + CheckSquare - 4), right = new(at.X + CheckLine, left.Y);
        yield return new TextMark(new(at.X, y + 4), "print at 100 %", Words + 2, Bold: true);
        foreach ((string line, int i) in CardFonts.Lines($"{first} {second}", Words, CheckLine).Select((line, i) => (line, i)))
            yield return new TextMark(new(at.X, y + 10 + 4.2 * i), line, Words);
        yield return new TextMark(left - new PlanePoint(0, 3), "This line is 100 mm long, each side of the square 50 mm: measure them.", Words - 1);
        yield return new LineMark(left, right, 0.25);
        yield return new LineMark(left - new PlanePoint(0, 2), left + new PlanePoint(0, 2), 0.25);
        yield return new LineMark(right - new PlanePoint(0, 2), right + new PlanePoint(0, 2), 0.25);
        yield return Marks.Box(at.X + CheckLine + 10, y, CheckSquare, CheckSquare, 0.25);
    }
}
