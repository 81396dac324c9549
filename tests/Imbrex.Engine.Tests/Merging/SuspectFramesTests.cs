using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Frames that do not belong, stand for another tile, or were exposed otherwise are named, and the rest is merged.</summary>
public sealed class SuspectFramesTests
{
    [Fact]
    public void A_frame_of_another_scene_is_named_foreign()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken);
        using var elsewhere = new MergeBench(PhotographScene.Load(TestData.Meadow, 700, 900), SmallTake.Grid(3, 2), SmallTake.Shaken);
        File.Copy(Path.Combine(elsewhere.Frames, bench.Truth.Tiles[4].File), Path.Combine(bench.Frames, bench.Truth.Tiles[4].File), overwrite: true);
        FindingPart finding = Named(bench, "foreign");
        Assert.Equal("t11", finding.Tile);
        Assert.Contains("--without t11", finding.Text);
    }

    [Fact]
    public void A_view_shot_twice_is_named_with_its_twin()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken);
        using var again = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { FullWell = 30_000 });
        File.Copy(Path.Combine(again.Frames, bench.Truth.Tiles[1].File), Path.Combine(bench.Frames, bench.Truth.Tiles[2].File), overwrite: true);
        FindingPart finding = Named(bench, "doubled");
        Assert.Equal("t02", finding.Tile);
        Assert.Contains("tile t01", finding.Text);
    }

    [Fact]
    public void A_frame_without_detail_is_untied_and_not_foreign()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken);
        SmallTake.Change(Path.Combine(bench.Frames, bench.Truth.Tiles[4].File), image =>
        {
            using Image noise = Image.Gaussnoise(image.Width, image.Height, sigma: 150, mean: 30_000, seed: 1);
            using Image nothing = image.Linear([0.0], [0.0]);
            using Image flat = nothing + noise;
            return flat.Cast(Enums.BandFormat.Ushort);
        });
        Assert.Equal("t11", Named(bench, "untied").Tile);
    }

    [Fact]
    public void A_frame_exposed_otherwise_is_named_with_its_stops_and_evened_out()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { ExposureStops = -1 });
        SmallTake.Change(Path.Combine(bench.Frames, bench.Truth.Tiles[2].File), image =>
        {
            using Image linear = image.Linear([1 / 65535.0], [0.0]);
            // Where sRGB is a power (all but the darkest shadows): one and a quarter stop less light.
            double factor = Math.Pow(2, -1.25 / 2.4);
            using Image less = linear.Linear([factor], [0.055 * (factor - 1)]);
            using Image codes = less.Linear([65535.0], [0.0]);
            return codes.Cast(Enums.BandFormat.Ushort);
        });
        MergeResult result = bench.Merge();
        FindingPart finding = Assert.Single(result.Mosaic.Findings, f => f.Kind == "exposure");
        Assert.Equal("t02", finding.Tile);
        Assert.Matches("1\\.[23] stops darker", finding.Text);
    }

    [Fact]
    public void A_good_take_raises_no_suspicion()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { GainSdStops = 0.1 });
        Assert.Empty(bench.Merge().Mosaic.Findings);
    }

    // The rest of the take is placed as if the frame were not there.
    private static FindingPart Named(MergeBench bench, string kind)
    {
        MergeResult result = bench.Merge();
        FindingPart finding = Assert.Single(result.Mosaic.Findings, f => f.Kind is "foreign" or "doubled" or "untied");
        Assert.Equal(kind, finding.Kind);
        TruthDocument rest = bench.Truth with { Tiles = [.. bench.Truth.Tiles.Where(t => t.Id != finding.Tile)] };
        MosaicDocument others = result.Mosaic with { Tiles = [.. result.Mosaic.Tiles.Where(t => t.Id != finding.Tile)] };
        Assert.InRange(PoseError.Of(others, rest).Rms, 0, 0.05);
        return finding;
    }
}
