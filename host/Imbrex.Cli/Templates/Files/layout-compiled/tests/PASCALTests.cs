using Imbrex.Sdk.Layouts;
using Imbrex.Sdk.Testing.Conformance;
using Imbrex.Sdk.Testing.Drawing;
using Imbrex.Sdk.Testing.Fakes;
using Xunit;

namespace PASCALParts.Tests;

public class PASCALTests
{
    // Every kind of legal request: what is found is told with the parameters that do it and what to do.
    [Fact]
    public void The_layout_keeps_its_word() => LayoutConformance.Check(new PASCALLayout()).Verify();

    [Fact]
    public void Two_tiles_fill_a_format_as_wide_as_two()
    {
        var layout = new PASCALLayout();
        LayoutRequest request = LayoutRequests.For(layout, "60x20", "more-overlap=1");

        Assert.Equal(2, layout.Arrange(request).Count);

        // The drawing is for you: open it in a browser.
        File.WriteAllText("NAME.svg", TileDrawing.Svg(layout, request));
    }
}
