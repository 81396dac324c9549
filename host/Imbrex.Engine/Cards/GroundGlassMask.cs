using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>A mask for the ground glass at full size: the format, the tiles and the image circle, seen from behind the camera.</summary>
public static class GroundGlassMask
{
    /// <summary>The document's title.</summary>
    public const string Title = "Mask for the ground glass";

    private const double Room = 1;

    /// <summary>Draws it on the smallest sheet of the card's family that holds format and tiles, with the whole image circle where an ordinary sheet does.</summary>
    /// <exception cref="Imbrex.Sdk.InputException">No sheet is large enough.</exception>
    public static Sheet Of(PlanDocument plan, VerdictDocument verdict, Paper card)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(verdict);
        ArgumentNullException.ThrowIfNull(card);
        PlaneSize sensor = plan.TheSensor().Size();
        PlanePoint[][] tiles = [.. plan.Tiles.Select(tile => tile.ToPose().Corners(sensor).ToArray())];
        PlanePoint[] format = [.. new SensorPose(PlanePoint.Origin).Corners(plan.Format.ToSize())];
        CirclePart? circle = verdict.Optics?.LightCircle;
        PlanePoint[] outline = [.. (circle?.OutlineMm ?? []).Select(point => new PlanePoint(point[0], point[1]))];
        (Paper paper, Extent drawn) = Choose(card, Extent.Of([.. tiles.SelectMany(tile => tile), .. format]), outline);

        PlanePoint origin = new((paper.WidthMm - drawn.Width) / 2 - drawn.Left, FullSize.Margin - drawn.Top);
        var marks = new List<Mark>();
        marks.AddRange(tiles.Select(tile => new PathMark(tile, 0.2).Moved(origin)));
        marks.Add(new PathMark(format, 0.5).Moved(origin));
        var page = new Extent(FullSize.Margin, FullSize.Margin, paper.WidthMm - FullSize.Margin, paper.HeightMm - FullSize.Margin - FullSize.Foot - Room);
        marks.AddRange(Inside([.. outline.Select(point => point + origin)], page));
        marks.AddRange(Cross(origin, 3));
        marks.AddRange(plan.Tiles.Select((tile, i) => new TextMark(tile.ToPose().Centre + origin + new PlanePoint(0, 1.3), FormattableString.Invariant($"{i + 1}"), 10, Bold: true, TextSide.Middle)));
        marks.AddRange(FullSize.FootAt(
            new((paper.WidthMm - FullSize.FootWidth) / 2, paper.HeightMm - FullSize.Margin - FullSize.Foot),
            $"{Title}, {Lengths.Text(plan.Format.ToSize())}, seen from behind the camera: heavy the format, thin the tiles with their frame numbers, the cross the middle of the format.",
            Circle(circle, outline.Length > 0 && marks.OfType<LineMark>().Any(line => line.Dashed))));
        return new(paper, marks);
    }

    private static (Paper Paper, Extent Drawn) Choose(Paper card, Extent needed, PlanePoint[] outline)
    {
        if (outline.Length > 0)
        {
            Extent whole = needed.With(Extent.Of(outline));
            Paper[] ordinary = [card.Larger[0], card.Larger[0].Lying, card.Larger[1], card.Larger[1].Lying];
            Paper? fits = ordinary.FirstOrDefault(paper => paper.WidthMm >= whole.Width + 2 * FullSize.Margin && paper.HeightMm >= whole.Height + 2 * FullSize.Margin + FullSize.Foot + Room);
            if (fits is not null)
                return (fits, whole);
        }
        return (FullSize.Holding(card, new(needed.Width, needed.Height + FullSize.Foot + Room), "mask"), needed);
    }

    private static string Circle(CirclePart? circle, bool drawn) => circle is null
        ? "The image circle is not known."
        : FormattableString.Invariant($"The circle of light, {circle.DiameterMm:0.#} mm across{(drawn ? ", is dashed." : ", lies outside this sheet.")}");

    // Only what lies on the sheet: each piece of the outline is a line of its own, every second one left out.
    private static IEnumerable<Mark> Inside(PlanePoint[] outline, Extent page)
    {
        for (int i = 0; i < outline.Length; i++)
        {
            (PlanePoint from, PlanePoint to) = (outline[i], outline[(i + 1) % outline.Length]);
            if (page.Holds(from) && page.Holds(to))
                yield return new LineMark(from, to, 0.4, Dashed: true);
        }
    }

    private static IEnumerable<Mark> Cross(PlanePoint at, double arm) =>
    [
        new LineMark(at - new PlanePoint(arm, 0), at + new PlanePoint(arm, 0), 0.2),
        new LineMark(at - new PlanePoint(0, arm), at + new PlanePoint(0, arm), 0.2),
    ];

    private readonly record struct Extent(double Left, double Top, double Right, double Bottom)
    {
        public double Width => Right - Left;

        public double Height => Bottom - Top;

        public static Extent Of(IReadOnlyCollection<PlanePoint> points) => new(points.Min(p => p.X), points.Min(p => p.Y), points.Max(p => p.X), points.Max(p => p.Y));

        public Extent With(Extent other) => new(Math.Min(Left, other.Left), Math.Min(Top, other.Top), Math.Max(Right, other.Right), Math.Max(Bottom, other.Bottom));

        public bool Holds(PlanePoint point) => point.X >= Left && point.X <= Right && point.Y >= Top && point.Y <= Bottom;
    }
}
