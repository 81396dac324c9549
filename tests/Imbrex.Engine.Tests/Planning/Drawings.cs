using System.Globalization;
using System.Xml.Linq;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>The drawing: well-formed, complete, and to scale.</summary>
public sealed class Drawings
{
    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    [Fact]
    public void An_accepted_plan_shows_its_tiles_in_order_and_no_failure()
    {
        XElement drawing = Draw(Grid(27, 20, Margins.None), "accepted");
        Assert.Equal(["1", "2", "3", "4", "5", "6"], drawing.Descendants(Svg + "text").Where(text => (string?)text.Attribute("class") == "number").Select(text => text.Value));
        Assert.Equal(6, Paths(drawing, "tile").Count());
        Assert.Empty(Paths(drawing, "coverage"));
        Assert.Contains(drawing.Descendants(Svg + "text"), text => text.Value.Contains("seen from behind the camera", StringComparison.Ordinal));
    }

    [Fact]
    public void Failures_are_hatched()
    {
        XElement drawing = Draw(Grid(33, 20, new(0.5, 0.5)), "refused");
        Assert.NotEmpty(Paths(drawing, "overlap"));
        Assert.NotEmpty(Paths(drawing, "coverage"));
        Assert.Equal(6, Paths(drawing, "usable").Count());
    }

    [Fact]
    public void The_format_is_drawn_to_scale()
    {
        XElement drawing = Draw(Grid(27, 20, Margins.None), "scale");
        XElement format = drawing.Descendants(Svg + "rect").Single(rect => (string?)rect.Attribute("class") == "format");
        Assert.Equal(90.0 / 44, (double)format.Attribute("width")! / (double)format.Attribute("height")!, 1e-3);
    }

    [Fact]
    public void Names_and_shapes_of_any_kind_stay_well_formed()
    {
        CheckRequest request = Grid(27, 20, Margins.None) with { Back = Kits.Rail().Build().Back };
        Draw(request with { Tiles = [new("<&\"\u0001>", new(new(3, 4), Turn.Quarter, 12.5)), new("b", new(new(1e5, 4)))] }, "odd");
    }

    [Fact]
    public void A_rail_with_its_back_turned_over_shows_it()
    {
        PlanResult result = Planner.Plan(Kits.Rail(row: 10).Plan(new(90, 44), 4, ("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20")));
        CheckRequest request = CheckRequest.For(result.Plan!, result.Plan!.Kit!.Build().Back);
        XElement drawing = Parse(PlanDrawing.Svg(request, result.Verdict), "rail");
        Assert.Equal(3, Paths(drawing, "tile over").Count());
    }

    [Fact]
    public void Circles_axis_and_what_the_throat_leaves_are_drawn_in_place()
    {
        (CheckRequest request, double scale, XElement drawing) = Lit(lightCircle: 210, sharpCircle: 180, rise: 10);
        XElement format = Format(drawing);
        double middleX = (double)format.Attribute("x")! + (double)format.Attribute("width")! / 2, middleY = (double)format.Attribute("y")! + (double)format.Attribute("height")! / 2;
        (double x, double y)[] lit = Points(Paths(drawing, "circle lit").Single()), sharp = Points(Paths(drawing, "circle sharp").Single());
        // The lens has risen by 10 mm, and its axis with it.
        Assert.Equal(-10, (lit.Average(p => p.y) - middleY) / scale, 0.05);
        Assert.All(lit, p => Assert.Equal(105, Distance(p), 0.05));
        Assert.All(sharp, p => Assert.Equal(90, Distance(p), 0.05));
        string axis = (string)Paths(drawing, "axis").Single().Attribute("d")!;
        Assert.StartsWith(FormattableString.Invariant($"M{middleX - 14:0.##},{middleY - 10 * scale:0.##}H"), axis, StringComparison.Ordinal);

        // At f/5.6 the throat cuts corners off the outer tiles.
        TileRectangle[] usable = UsableTiles.For(request).Of(request.Tiles);
        Assert.Contains(usable, tile => tile.Cuts.Count > 0);
        Assert.Equal(usable.Count(tile => tile.Cuts.Count > 0), Paths(drawing, "usable cut").Count());
        Assert.Contains(drawing.Descendants(Svg + "text"), text => text.Value.Contains("circle of light, 210 mm", StringComparison.Ordinal));

        double Distance((double x, double y) p) => Math.Sqrt(Math.Pow((p.x - middleX) / scale, 2) + Math.Pow((p.y - middleY) / scale + 10, 2));
    }

    [Fact]
    public void What_lies_outside_the_circle_of_light_is_hatched()
    {
        (_, _, XElement drawing) = Lit(lightCircle: 92, sharpCircle: 80, rise: 0);
        XElement[] dark = [.. Paths(drawing, "light")];
        Assert.Equal(4, dark.Length);
        Assert.Equal(4, dark.Select(path => (string)path.Attribute("data-failure")!).Distinct().Count());
        Assert.Contains(drawing.Descendants(Svg + "text"), text => text.Value.Contains("Crossed hatch: outside the circle of light.", StringComparison.Ordinal));
    }

    [Fact]
    public void A_bare_drawing_has_no_words_and_tells_what_is_what()
    {
        CheckRequest request = Grid(33, 20, new(0.5, 0.5));
        VerdictDocument verdict = AcceptanceCheck.Judge(request);
        XElement drawing = Parse(PlanDrawing.Bare(request, verdict), "bare");
        Assert.Equal(Enumerable.Range(1, 6).Select(number => $"{number}"), drawing.Descendants(Svg + "text").Select(text => text.Value));
        Assert.Empty(drawing.Descendants(Svg + "style"));
        Assert.Equal(Enumerable.Range(0, 6), drawing.Descendants(Svg + "g").Where(group => group.Attribute("data-tile") is not null).Select(group => (int)group.Attribute("data-tile")!));
        Assert.Equal(Enumerable.Range(0, verdict.Failures.Count).Where(i => verdict.Failures[i].Region is not null),
            drawing.Descendants(Svg + "path").Where(path => path.Attribute("data-failure") is not null).Select(path => (int)path.Attribute("data-failure")!));
        Assert.Single(drawing.Descendants(Svg + "g"), group => (string?)group.Attribute("class") == "heat");
    }

    [Fact]
    public void Nothing_but_the_format_is_drawn_where_there_is_no_tile()
    {
        CheckRequest request = Grid(33, 20, Margins.None);
        XElement drawing = Parse(PlanDrawing.Bare(request with { Tiles = [] }, AcceptanceCheck.Judge(request) with { Failures = [] }), "no-tile");
        Assert.Empty(Paths(drawing, "tile"));
        Assert.Equal(90.0 / 44, (double)Format(drawing).Attribute("width")! / (double)Format(drawing).Attribute("height")!, 1e-3);
    }

    private static (CheckRequest Request, double Scale, XElement Drawing) Lit(double lightCircle, double sharpCircle, double rise)
    {
        KitDocument kit = Kits.Rail() with { Lens = new() { FocalLengthMm = 150, LightCircleMm = lightCircle, SharpCircleMm = sharpCircle } };
        CheckRequest request = Grid(27, 20, new(0.2, 0.1)) with
        {
            Kit = kit with { Body = kit.Body with { Stops = [new() { Shape = "circle", SizeMm = [46], ToSensorMm = 18 }] } },
            Picture = new() { Aperture = 5.6, Movements = new() { RiseMm = rise } },
        };
        XElement drawing = Draw(request, $"lit-{lightCircle}");
        return (request, (double)Format(drawing).Attribute("width")! / 90, drawing);
    }

    private static XElement Format(XElement drawing) => drawing.Descendants(Svg + "rect").Single(rect => (string?)rect.Attribute("class") == "format");

    private static (double X, double Y)[] Points(XElement path) =>
        [.. ((string)path.Attribute("d")!).Trim('M', 'Z').Split('L').Select(point => point.Split(',')).Select(pair => (double.Parse(pair[0], CultureInfo.InvariantCulture), double.Parse(pair[1], CultureInfo.InvariantCulture)))];

    private static IEnumerable<XElement> Paths(XElement drawing, string css) => drawing.Descendants(Svg + "path").Where(path => (string?)path.Attribute("class") == css);

    private static XElement Draw(CheckRequest request, string name) => Parse(PlanDrawing.Svg(request, AcceptanceCheck.Judge(request)), name);

    private static XElement Parse(string svg, string name)
    {
        File.WriteAllText(Path.Combine(AppContext.BaseDirectory, $"drawing-{name}.svg"), svg);
        return XElement.Parse(svg);
    }

    private static CheckRequest Grid(double stepX, double stepY, Margins margins) => new()
    {
        Tiles = [.. from y in new[] { -stepY / 2, stepY / 2 } from x in new[] { -stepX, 0, stepX } select new PlacedTile($"{x}/{y}", new(new(x, y)))],
        Sensor = new(36, 24),
        Format = new(90, 44),
        Overlap = 4,
        Margins = margins,
    };
}
