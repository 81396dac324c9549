using System.Xml.Linq;
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
