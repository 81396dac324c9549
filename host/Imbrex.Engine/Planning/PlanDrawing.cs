using System.Text;
using Imbrex.Engine.Clearance;
using Imbrex.Engine.Documents;

namespace Imbrex.Engine.Planning;

/// <summary>
/// The drawing of a plan, black on white, as SVG: the image plane seen from behind the camera, with the lens's circles and axis, the tiles in shooting
/// order, the format, how many tiles lie over each other, and what fails.
/// </summary>
public static class PlanDrawing
{
    // Room for the words in units of the drawing, which is always this wide inside.
    private const double Inside = 900;
    private const double Margin = 30;
    private const double Head = 64;
    private const double Foot = 96;

    // A tile laid over others darkens the grey by this much; failures are told by hatches, not by colour alone.
    private const string Css = """
        text{font-family:"Helvetica Neue",Arial,"Liberation Sans",sans-serif;fill:#111}
        .head{font-size:20px;font-weight:bold}.line{font-size:14px}.small{font-size:12px;fill:#444}
        .number{font-weight:bold;text-anchor:middle}.end{font-size:12px;fill:#444;text-anchor:end}
        .depth{fill:#000;fill-opacity:.09;stroke:none}.disc{fill:#fff;fill-opacity:.85;stroke:#333}
        .tile{fill:none;stroke:#333;stroke-width:1.2}.usable{fill:none;stroke:#777;stroke-width:.8;stroke-dasharray:2 3}.cut{stroke:#333;stroke-width:1.2}
        .format{fill:none;stroke:#000;stroke-width:3}.over{stroke-dasharray:8 4}
        .circle{fill:none;stroke:#555;stroke-width:1.4}.sharp{stroke-dasharray:12 5 2 5}.axis{fill:none;stroke:#000;stroke-width:1.6}
        .coverage{fill:url(#gap);stroke:#b00020;stroke-width:1.5}.overlap{fill:url(#thin);stroke:#0050a0;stroke-width:1.2}
        .clearance{fill:url(#clash);stroke:#7a3d00;stroke-width:1.5}.part{fill:none;stroke:#7a3d00;stroke-width:1}
        .light{fill:url(#dark);stroke:#222;stroke-width:1.2}
        .out{fill:none;stroke:#b00020;stroke-width:3;stroke-dasharray:3 3}.top{fill:#333;stroke:none}.scale{fill:none;stroke:#000;stroke-width:2}
        """;

    /// <summary>Draws a plan under the margins that its verdict was given with, as UTF-8.</summary>
    public static byte[] Svg(PlanDocument plan, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(verdict);
        return Encoding.UTF8.GetBytes(Svg(CheckRequest.For(plan, verdict), verdict));
    }

    /// <summary>Draws a plan and its verdict.</summary>
    /// <param name="request">The judged request; its tiles are numbered in their order.</param>
    /// <param name="verdict">What the rules say.</param>
    /// <returns>A complete SVG document.</returns>
    public static string Svg(CheckRequest request, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(verdict);
        var sketch = new PlaneSketch(request, verdict, Inside, Margin, Head);
        var svg = new Svg();
        double width = Inside + 2 * Margin;
        double height = Head + sketch.DrawnHeight + Foot;
        svg.Open($"svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:0.##} {height:0.##}\" width=\"{width:0.##}\" height=\"{height:0.##}\" role=\"img\"");
        svg.Title(Title(verdict));
        svg.Style(Css);
        Hatches(svg);
        svg.Element($"rect width=\"100%\" height=\"100%\" fill=\"#fff\"");
        string verdictWord = verdict.Accepted ? "Accepted" : "Refused";
        svg.Text(Margin, 30, "head", FormattableString.Invariant($"{verdictWord}: {verdict.Frames} {(verdict.Frames == 1 ? "frame" : "frames")} for {Lengths.Text(request.Format)}"));
        if (verdict.MeasuredOverlap is { } overlap && verdict.Frames > 1)
            svg.Text(Margin + Inside, 30, "end", VerdictWords.Overlap(overlap));
        svg.Text(Margin, 52, "small", "Image plane seen from behind the camera: x to the right, y down; the scene stands upside down here");
        sketch.Draw(svg);
        Legend(svg, sketch, request, verdict);
        svg.Close("svg");
        return svg.ToString();
    }

    /// <summary>
    /// The drawing for a page that brings its own colours: no words but the tiles' numbers, no style, and nothing around. Tiles carry <c>data-tile</c> and regions that fail
    /// <c>data-failure</c>, their places in the request and the verdict; <c>data-tight</c> is the view box that shows the tiles alone. An empty group
    /// <c>heat</c> with the format's rectangle is where a map goes.
    /// </summary>
    public static string Bare(CheckRequest request, VerdictDocument verdict)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(verdict);
        var sketch = new PlaneSketch(request, verdict, Inside, 0, 0);
        var svg = new Svg();
        (double left, double top, double width, double height) = sketch.Whole;
        (double tightLeft, double tightTop, double tightWidth, double tightHeight) = sketch.Tight;
        svg.Open($"svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left - 6:0.##} {top - 6:0.##} {width + 12:0.##} {height + 12:0.##}\" data-tight=\"{tightLeft:0.##} {tightTop:0.##} {tightWidth:0.##} {tightHeight:0.##}\" role=\"img\"");
        svg.Title(Title(verdict));
        Hatches(svg);
        svg.Open($"g class=\"heat\"");
        sketch.Format(svg, "ground");
        svg.Close("g");
        sketch.Draw(svg);
        svg.Close("svg");
        return svg.ToString();
    }

    private static string Title(VerdictDocument verdict) => FormattableString.Invariant($"Plan of {verdict.Frames} tiles, seen from behind the camera");

    private static void Hatches(Svg svg)
    {
        svg.Open($"defs");
        svg.Open($"pattern id=\"gap\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"");
        svg.Element($"rect width=\"7\" height=\"7\" fill=\"#fff\"");
        svg.Element($"path d=\"M0,0V7M3.5,0V7\" stroke=\"#b00020\" stroke-width=\"1.6\"");
        svg.Close("pattern");
        svg.Open($"pattern id=\"thin\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(-45)\"");
        svg.Element($"path d=\"M0,0V8\" stroke=\"#0050a0\" stroke-width=\"1.4\"");
        svg.Close("pattern");
        svg.Open($"pattern id=\"dark\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\"");
        svg.Element($"path d=\"M0,0L9,9M9,0L0,9\" stroke=\"#555\" stroke-width=\"1.1\"");
        svg.Close("pattern");
        svg.Open($"pattern id=\"clash\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"");
        svg.Element($"path d=\"M0,0L6,6M6,0L0,6\" stroke=\"#7a3d00\" stroke-width=\"1.2\"");
        svg.Close("pattern");
        svg.Close("defs");
    }

    private static void Legend(Svg svg, PlaneSketch sketch, CheckRequest request, VerdictDocument verdict)
    {
        double y = Head + sketch.DrawnHeight + 28;
        double length = Round(0.2 * sketch.WidthMm);
        svg.Element($"path class=\"scale\" d=\"M{Margin},{y - 6:0.##}V{y:0.##}H{Margin + length * sketch.Scale:0.##}V{y - 6:0.##}\"");
        svg.Text(Margin + length * sketch.Scale + 8, y, "line", FormattableString.Invariant($"{length:0.###} mm"));
        svg.Text(Margin + Inside, y, "end", FormattableString.Invariant($"overlap asked for {Lengths.Text(request.Overlap)} mm, tolerance {Margins.Text(request.Margins.Position, Lengths.Text)} and {Lengths.Text(request.Margins.Angle)} degrees"));
        bool certain = request.Margins != Margins.None;
        string[] words =
        [
            "Numbers: shooting order. Darker grey: more tiles lie over each other. Wedge: the body's top. Heavy frame: the format.",
            Joined(
                (sketch.Axis is not null, "Cross: the lens axis."),
                (sketch.Light.Count > 0, $"Thin line: the circle of light, {Diameter(verdict.Optics?.LightCircle)}."),
                (sketch.Sharp.Count > 0, $"Dash and dot: the sharp circle, {Diameter(verdict.Optics?.SharpCircle)}."),
                (certain || sketch.AnyCut, sketch.AnyCut ? $"Dotted: what is {(certain ? "certain and " : "")}lit of a tile." : "Dotted: what is certain of a tile."),
                (request.Tiles.Any(tile => tile.Setting?.BackTurned is true), "Dashed: back turned over.")),
            Joined(
                (Fails(AcceptanceCheck.Coverage), "Red hatch: shown by no tile."),
                (Fails(AcceptanceCheck.Overlap), "Blue hatch: middles of windows that no tile holds."),
                (Fails(LightRule.Name), "Crossed hatch: outside the circle of light."),
                (Fails(ClearanceRule.Name), "Crossed brown: parts run into each other; brown lines: back and standard."),
                (verdict.Failures.Any(failure => failure.Rule == Reach.Name), "Red dashes: out of reach.")),
        ];
        foreach ((string line, int i) in words.Where(line => line.Length > 0).Select((line, i) => (line, i)))
            svg.Text(Margin, y + 24 + 18 * i, "small", line);

        bool Fails(string rule) => verdict.Failures.Any(failure => failure.Rule == rule && failure.Region is not null);
    }

    private static string Joined(params (bool Shown, string Text)[] sentences) => string.Join(' ', sentences.Where(sentence => sentence.Shown).Select(sentence => sentence.Text));

    private static string Diameter(CirclePart? circle) => circle is null ? "" : $"{Lengths.Text(circle.DiameterMm)} mm";

    // 1, 2 or 5 times a power of ten.
    private static double Round(double length)
    {
        double power = Math.Pow(10, Math.Floor(Math.Log10(length)));
        return power * (length / power >= 5 ? 5 : length / power >= 2 ? 2 : 1);
    }
}
