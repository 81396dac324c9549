using CsCheck;
using Imbrex.Engine.Planning;
using Imbrex.Sdk;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Plugins.Layouts.Tests;

/// <summary>What holds for every built-in layout, whatever the request.</summary>
public sealed class EveryLayout
{
    public static TheoryData<string> Names => LayoutCatalog.Names;

    private static readonly Gen<PlaneSize> AnySize = Gen.Select(Gen.Double[0.5, 400], Gen.Double[0.5, 400], (w, h) => new PlaneSize(w, h));

    private static readonly Gen<BackLimits> AnyLimits = Gen.Select(Gen.Double[-80, 80], Gen.Double[-80, 80], Gen.Double[0, 90], Gen.Double[0, 90], Gen.Int[0, 19],
        (x, y, w, h, mask) => mask >= 16 ? BackLimits.Unlimited : new BackLimits(x, y, x + w, y + h, [.. Turns.All.Where((_, i) => (mask & 1 << i) != 0)]));

    [Fact]
    public void Five_layouts_are_built_in() =>
        Assert.Equal(["fewest-frames", "mixed-turns", "regular-grid", "single-strip", "staggered-rows"], LayoutCatalog.All.Select(layout => layout.Description.Name));

    [Theory]
    [MemberData(nameof(Names))]
    public void Any_legal_parameters_give_finite_tiles_or_a_refusal_with_a_remedy(string name)
    {
        IMosaicLayout layout = LayoutCatalog.Named(name);
        Gen.Select(LayoutCatalog.AnyParameters(layout), AnySize, AnySize, AnyLimits, Gen.Double[0, 30], Gen.Double[0, 2])
            .Sample((parameters, sensor, format, limits, overlap, tolerance) =>
            {
                var request = new LayoutRequest
                {
                    Sensor = sensor,
                    Format = format,
                    Overlap = overlap,
                    PositionTolerance = tolerance,
                    AngularTolerance = tolerance,
                    Limits = limits,
                    Parameters = parameters,
                };
                try
                {
                    IReadOnlyList<Tile> tiles = layout.Arrange(request);
                    Assert.InRange(tiles.Count, 1, 10_000);
                    Assert.Equal(tiles, layout.Arrange(request));
                    Assert.All(tiles, tile =>
                    {
                        PlanePoint c = tile.Pose.Centre;
                        Assert.True(double.IsFinite(c.X) && double.IsFinite(c.Y));
                        Assert.True(c.X >= limits.Left - 1e-6 && c.X <= limits.Right + 1e-6 && c.Y >= limits.Top - 1e-6 && c.Y <= limits.Bottom + 1e-6);
                        Assert.True(limits.Turns.Contains(tile.Pose.Turn) || limits.Turns.Contains(tile.Pose.Turn.Plus(Turn.Half)));
                    });
                }
                catch (RefusalException refusal)
                {
                    Assert.Matches("[0-9]", refusal.Message + refusal.Where);
                    Assert.False(string.IsNullOrWhiteSpace(refusal.Remedy));
                }
            }, iter: name == "fewest-frames" ? 40 : 2000);
    }

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
