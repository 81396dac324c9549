using System.Xml.Linq;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Testing.Drawing;
using Imbrex.Sdk.Testing.Fakes;
using Imbrex.Sdk.Testing.Tests.Conformance;
using Xunit;

namespace Imbrex.Sdk.Testing.Tests.Drawing;

public sealed class TileDrawings
{
    // Looked at in a browser: two level tiles side by side over a lying rectangle.
    [Fact]
    public void A_drawing_is_text_that_can_be_compared()
    {
        var layout = new PairLayout();
        LayoutRequest request = LayoutRequests.For(layout, "60x20", "step=26");

        Assert.Equal("""
            <svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="32mm" viewBox="-35 -16 70 32">
              <rect x="-30" y="-10" width="60" height="20" fill="#f2e6c8" stroke="#8a6d1f" stroke-width="0.4"/>
              <polygon points="-31,-12 5,-12 5,12 -31,12" fill="#2f6f9f" fill-opacity="0.25" stroke="#1d4a6b" stroke-width="0.3"/>
              <polygon points="-5,-12 31,-12 31,12 -5,12" fill="#2f6f9f" fill-opacity="0.25" stroke="#1d4a6b" stroke-width="0.3"/>
              <text x="-13" y="0" dy="-3" font-size="4" font-family="sans-serif" text-anchor="middle" transform="rotate(0 -13 0)">left</text>
              <text x="13" y="0" dy="-3" font-size="4" font-family="sans-serif" text-anchor="middle" transform="rotate(0 13 0)">right</text>
              <path d="M-2 0H2M0 -2V2" stroke="#333" stroke-width="0.2"/>
            </svg>

            """, TileDrawing.Svg(layout, request), ignoreLineEndingDifferences: true);
    }

    [Fact]
    public void Names_are_escaped_and_tiles_without_one_are_numbered()
    {
        string svg = TileDrawing.Svg([new(default, "<&>"), new(new(new(5, -0.00001), Turn.Quarter, 0.0004))], new(36, 24), new(60, 20));

        XElement[] texts = [.. XDocument.Parse(svg).Descendants().Where(element => element.Name.LocalName == "text")];
        Assert.Equal(["<&>", "t2"], texts.Select(text => text.Value));
        Assert.Equal("rotate(90 5 0)", (string?)texts[1].Attribute("transform"));
        Assert.DoesNotContain("-0\"", svg, StringComparison.Ordinal);
    }
}
