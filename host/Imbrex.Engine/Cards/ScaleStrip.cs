using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>
/// Strips at full size to glue on the back's rails, one for each axis that slides, with the marks that a layout needs: those of the upright back at the
/// upper edge, those of the back turned over at the lower edge and upside down, so that they read upright when the back is over.
/// </summary>
public static class ScaleStrip
{
    /// <summary>The document's title.</summary>
    public const string Title = "Scales for the back";

    // A strip: marks of two edges with two lines of words each, so that near neighbours do not run into each other.
    private const double Height = 26;
    private const double Between = 8;
    private const double Tick = 4;
    private const double WordHeight = 3.4;
    private const double Words = 7.5;

    /// <summary>Draws all strips on one sheet of the card's family.</summary>
    /// <exception cref="InputException">The plan has no back with axes and settings, or no sheet is long enough.</exception>
    public static Sheet Of(PlanDocument plan, VerdictDocument verdict, Paper card)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(verdict);
        ArgumentNullException.ThrowIfNull(card);
        IReadOnlyList<AxisPart> axes = plan.Kit?.Back.Axes ?? [];
        if (axes.Count == 0 || plan.Tiles.Any(tile => tile.Setting?.Positions.Count != axes.Count))
            throw new InputException("A scale needs a kit whose back has axes, and a setting for every tile.", "--scale", "Plan with --kit, or leave --scale out.");
        int[] slides = [.. Enumerable.Range(0, axes.Count).Where(i => !axes[i].IsPivot)];
        if (slides.Length == 0)
            throw new InputException("A straight strip does not serve an axis that turns.", "--scale", "Leave --scale out and mark the angles on the pivot itself; the card lists them.");
        double longest = slides.Max(i => axes[i].Maximum - axes[i].Minimum);
        Paper paper = FullSize.Holding(card, new(longest, slides.Length * (Height + Between) + FullSize.Foot), "scale");
        var marks = new List<Mark>();
        foreach ((int place, int i) in slides.Index())
            marks.AddRange(Strip(plan, axes[i], i, new((paper.WidthMm - (axes[i].Maximum - axes[i].Minimum)) / 2, FullSize.Margin + Between / 2 + place * (Height + Between))));
        marks.AddRange(FullSize.FootAt(
            new((paper.WidthMm - FullSize.FootWidth) / 2, paper.HeightMm - FullSize.Margin - FullSize.Foot),
            "Cut along the frames and glue on the rail, the arrow where the slide's index stands with the sensor in the middle of the seat; the right end towards your right (a slide up and down: the lower end).",
            slides.Length > 1 ? FormattableString.Invariant($"Seen from behind, back upright; the upper strip is for {(slides[0] < verdict.Handling?.Axes.Count ? verdict.Handling.Axes[slides[0]] : $"axis {slides[0] + 1}")}.") : "Seen from behind, back upright."));
        return new(paper, marks);
    }

    private static IEnumerable<Mark> Strip(PlanDocument plan, AxisPart axis, int number, PlanePoint corner)
    {
        yield return Marks.Box(corner.X, corner.Y, axis.Maximum - axis.Minimum, Height, 0.15);
        if (axis.Minimum <= 0 && axis.Maximum >= 0)
        {
            PlanePoint zero = new(corner.X - axis.Minimum, corner.Y);
            yield return new PathMark([zero, zero + new PlanePoint(-1, -2), zero + new PlanePoint(1, -2)], 0, Fill: 0);
        }
        foreach (bool over in new[] { false, true })
        {
            foreach (Mark mark in Edge(plan, axis, number, corner, over))
                yield return mark;
        }
    }

    private static IEnumerable<Mark> Edge(PlanDocument plan, AxisPart axis, int number, PlanePoint corner, bool over)
    {
        (double edge, double inward) = over ? (corner.Y + Height, -1) : (corner.Y, 1);
        var stops = plan.Tiles.Select((tile, i) => (Setting: tile.Setting!, Frame: i + 1))
            .Where(tile => tile.Setting.BackTurned == over)
            .GroupBy(tile => Math.Round(tile.Setting.Positions[number], 3))
            .OrderBy(group => group.Key);
        double[] ends = [double.NegativeInfinity, double.NegativeInfinity];
        foreach (var stop in stops)
        {
            double x = corner.X + stop.Key - axis.Minimum;
            string text = $"{Lengths.Text(ScaleReading.Of(axis, stop.Key))}: {string.Join(" ", stop.Select(tile => tile.Frame))}";
            double half = CardFonts.Width(text, Words) / 2 + 0.5;
            int level = x - half >= ends[0] ? 0 : 1;
            ends[level] = x + half;
            double baseline = Tick + (level + 1) * WordHeight - 0.6;
            yield return new LineMark(new(x, edge), new(x, edge + inward * (Tick + level * WordHeight)), 0.25);
            yield return new TextMark(new(x, edge + inward * baseline), text, Words, Side: TextSide.Middle, Over: over);
        }
    }
}
