using Imbrex.Sdk.Geometry;

namespace Imbrex.Engine.Cards;

/// <summary>Something drawn on paper, black on white. Places in mm from the sheet's upper left corner, x to the right, y down.</summary>
public abstract record Mark
{
    /// <summary>The same, moved.</summary>
    public abstract Mark Moved(PlanePoint by);
}

/// <summary>A straight line; widths in mm.</summary>
public sealed record LineMark(PlanePoint From, PlanePoint To, double Width, bool Dashed = false) : Mark
{
    public override Mark Moved(PlanePoint by) => this with { From = From + by, To = To + by };
}

/// <summary>A row of straight lines, closed or not.</summary>
/// <param name="Points">Its corners.</param>
/// <param name="Width">Width of the line, mm; 0 for none.</param>
/// <param name="Fill">Grey of what is inside, 0 black to 1 white, or null for none.</param>
/// <param name="Dashed">Whether the line is dashed.</param>
/// <param name="Closed">Whether the last corner is joined to the first.</param>
public sealed record PathMark(IReadOnlyList<PlanePoint> Points, double Width, double? Fill = null, bool Dashed = false, bool Closed = true) : Mark
{
    public override Mark Moved(PlanePoint by) => this with { Points = [.. Points.Select(point => point + by)] };
}

/// <summary>A circle with a thin line around white.</summary>
public sealed record DiscMark(PlanePoint Centre, double Radius, double Width) : Mark
{
    public override Mark Moved(PlanePoint by) => this with { Centre = Centre + by };
}

/// <summary>A line of text.</summary>
/// <param name="At">Where its baseline begins, has its middle, or ends.</param>
/// <param name="Text">The words.</param>
/// <param name="Points">Size of the type in points of 1/72 inch.</param>
/// <param name="Bold">Whether it is bold.</param>
/// <param name="Side">Which part of it lies at the place.</param>
/// <param name="Over">Whether it stands on its head, turned about the place.</param>
public sealed record TextMark(PlanePoint At, string Text, double Points, bool Bold = false, TextSide Side = TextSide.Start, bool Over = false) : Mark
{
    public override Mark Moved(PlanePoint by) => this with { At = At + by };
}

/// <summary>Which part of a line of text lies at its place.</summary>
public enum TextSide
{
    Start,
    Middle,
    End,
}

/// <summary>Common shapes.</summary>
internal static class Marks
{
    public const double MmPerPoint = 25.4 / 72;

    public static PathMark Box(double left, double top, double width, double height, double line, double? fill = null) =>
        new([new(left, top), new(left + width, top), new(left + width, top + height), new(left, top + height)], line, fill);
}
