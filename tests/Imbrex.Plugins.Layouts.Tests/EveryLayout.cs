using CsCheck;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

/// <summary>What holds for every built-in layout, whatever the request.</summary>
public sealed class EveryLayout
{
    public static TheoryData<string> Names => LayoutCatalog.Names;

    [Fact]
    public void Five_layouts_are_built_in() =>
        Assert.Equal(["fewest-frames", "mixed-turns", "regular-grid", "single-strip", "staggered-rows"], LayoutCatalog.All.Select(layout => layout.Description.Name));

    [Theory]
    [MemberData(nameof(Names))]
    public void What_is_computed_is_accepted(string name)
    {
        IMosaicLayout layout = LayoutCatalog.Named(name);
        int accepted = 0;
        Gen.Select(Gen.Double[20, 60], Gen.Double[15, 45], Gen.Double[20, 160], Gen.Double[15, 130], Gen.Double[0, 6], Gen.Double[0, 1], Gen.Double[0, 1])
            .Sample((w, h, width, height, overlap, t, phi) =>
            {
                var request = new LayoutRequest
                {
                    Sensor = new(w, h),
                    Format = new(width, name == "single-strip" ? Math.Min(height, h * 0.85 - 2) : height),
                    Overlap = overlap,
                    PositionTolerance = new(t, 1 - t),
                    AngularTolerance = phi,
                    Parameters = LayoutCatalog.Bind(layout),
                };
                VerdictDocument verdict = AcceptanceCheck.Judge(new()
                {
                    Tiles = PlacedTile.Named(layout.Arrange(request)),
                    Sensor = request.Sensor,
                    Format = request.Format,
                    Overlap = overlap,
                    Margins = new(request.PositionTolerance, phi),
                });
                Assert.True(verdict.Accepted, verdict.Summary);
                Interlocked.Increment(ref accepted);
            }, iter: name == "fewest-frames" ? 15 : 60, threads: 1);
        Assert.Equal(name == "fewest-frames" ? 15 : 60, accepted);
    }
}
