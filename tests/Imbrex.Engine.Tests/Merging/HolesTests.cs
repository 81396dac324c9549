using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>A missing tile, the hole that it leaves, and the part of the picture that is cut out.</summary>
public sealed class HolesTests
{
    private static PlanDocument NamedGrid()
    {
        PlanDocument grid = SmallTake.Grid(3, 2);
        return grid with { Tiles = [.. grid.Tiles.Select((tile, i) => tile with { File = $"frame-{i + 1:000}.tif" })] };
    }

    [Fact]
    public void A_missing_frame_leaves_a_hole_and_the_rest_where_it_belongs()
    {
        using var bench = new MergeBench(SmallTake.Photograph, NamedGrid(), SmallTake.Shaken);
        File.Delete(Path.Combine(bench.Frames, bench.Truth.Tiles[5].File));
        MergeResult result = bench.Merge();
        Assert.Equal("t12", Assert.Single(result.Mosaic.Findings, f => f.Kind == "missing").Tile);
        Assert.Single(result.Mosaic.Findings, f => f.Kind == "hole");
        Assert.Equal(["t12"], result.Mosaic.Options.Without);
        Assert.Equal(5, result.Mosaic.Tiles.Count);
        Assert.InRange(PoseError.Of(result.Mosaic, bench.Truth with { Tiles = [.. bench.Truth.Tiles.Take(5)] }).Rms, 0, 0.05);
        ushort[] pixels = SmallTake.Pixels(result.MasterFile, out int width, out int bands);
        Assert.Equal(4, bands);
        // The last tile of the plan stands at the right of the image plane: it shows the upper left of the scene.
        Assert.Equal(0, pixels[3]);
        Assert.Equal(ushort.MaxValue, pixels[(width - 1) * bands + 3]);
    }

    [Fact]
    public void Holes_are_refused_before_anything_is_written_where_so_asked()
    {
        using var bench = new MergeBench(SmallTake.Photograph, NamedGrid(), SmallTake.Shaken);
        RefusalException hole = Assert.Throws<RefusalException>(() =>
            bench.Merge(request => request with { Holes = HoleRule.Refuse, Matching = new() { Without = ["t12"] } }));
        Assert.Contains("--crop full", hole.Remedy);
        File.Delete(Path.Combine(bench.Frames, bench.Truth.Tiles[5].File));
        RefusalException missing = Assert.Throws<RefusalException>(() => bench.Merge(request => request with { Holes = HoleRule.Refuse }));
        Assert.Contains("t12", missing.Message);
        Assert.False(Directory.Exists(bench.Output));
    }

    [Fact]
    public void The_largest_full_rectangle_has_no_hole_and_cannot_be_pushed_further()
    {
        using var bench = new MergeBench(SmallTake.Photograph, NamedGrid(), SmallTake.Shaken);
        MergeResult whole = bench.Merge(request => request with { Matching = new() { Without = ["t12"] } });
        MergeResult all = bench.Merge(request => request with { Crop = CropRule.All, Matching = new() { Without = ["t12"] } });
        ushort[] everything = SmallTake.Pixels(all.MasterFile, out int width, out int bands);
        Assert.Equal(4, bands);
        MergeResult full = bench.Merge(request => request with { Crop = CropRule.Full, Holes = HoleRule.Refuse, Matching = new() { Without = ["t12"] } });
        Assert.Equal(full.Mosaic.WidthPx * (long)full.Mosaic.HeightPx, LargestFull(everything, width));
        Assert.DoesNotContain(full.Mosaic.Findings, f => f.Kind == "hole");

        // A crop is another window on the same picture: its millimetres tell where it lies.
        Assert.True(all.Mosaic.WidthPx > whole.Mosaic.WidthPx);
        MosaicTilePart before = whole.Mosaic.Tiles[0], after = all.Mosaic.Tiles[0];
        Assert.Equal(whole.Mosaic.LeftMm + before.XPx / whole.Mosaic.PxPerMm, all.Mosaic.LeftMm + after.XPx / all.Mosaic.PxPerMm, 0.01 / SmallTake.PxPerMm);
    }

    // The slow way: the largest rectangle of opaque pixels, each row as its foot.
    private static long LargestFull(ushort[] pixels, int width)
    {
        var heights = new int[width];
        long best = 0;
        for (int row = 0; row < pixels.Length / 4 / width; row++)
        {
            for (int x = 0; x < width; x++)
                heights[x] = pixels[(row * width + x) * 4 + 3] > 0 ? heights[x] + 1 : 0;
            for (int left = 0; left < width; left++)
            {
                int lowest = heights[left];
                for (int right = left; right < width && lowest > 0; right++)
                {
                    lowest = Math.Min(lowest, heights[right]);
                    best = Math.Max(best, (long)lowest * (right - left + 1));
                }
            }
        }
        return best;
    }

    [Fact]
    public void A_mosaic_with_a_missing_frame_is_made_again_with_all_that_was_said_of_it()
    {
        using var bench = new MergeBench(SmallTake.Photograph, NamedGrid(), SmallTake.Shaken);
        File.Delete(Path.Combine(bench.Frames, bench.Truth.Tiles[5].File));
        MergeResult first = bench.Merge(request => request with { Matching = new() { Without = ["t00"] } });
        byte[] mosaic = File.ReadAllBytes(first.MosaicFile);
        MergeResult second = MergeBench.Run(Remake.Of(first.MosaicFile, bench.Output) with { Force = true });
        Assert.Equal(mosaic, File.ReadAllBytes(second.MosaicFile));
        Assert.Equal("t12", Assert.Single(second.Mosaic.Findings, f => f.Kind == "missing").Tile);
    }

    [Fact]
    public void A_mosaic_is_made_again_from_what_it_tells()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 2), SmallTake.Shaken);
        SmallTake.TurnUpsideDown(Path.Combine(bench.Frames, bench.Truth.Tiles[0].File));
        MergeResult first = bench.Merge(request => request with { Crop = CropRule.Full, ToleranceMm = 0.7, Matching = new() { Without = [] } });
        byte[] master = File.ReadAllBytes(first.MasterFile), mosaic = File.ReadAllBytes(first.MosaicFile);

        MergeRequest again = Remake.Of(first.MosaicFile, bench.Output) with { Force = true, Workers = 1 };
        MergeResult second = MergeBench.Run(again);
        Assert.Equal(master, File.ReadAllBytes(second.MasterFile));
        Assert.Equal(mosaic, File.ReadAllBytes(second.MosaicFile));

        SmallTake.Change(Path.Combine(bench.Frames, bench.Truth.Tiles[1].File), image => image.Invert());
        var changed = Assert.Throws<InputException>(() => MergeBench.Run(Remake.Of(first.MosaicFile, bench.Output) with { Force = true }));
        Assert.Contains($"tile {first.Mosaic.Tiles[1].Id} is not the one that was merged: its SHA-256", changed.Message);
        Assert.Equal(master, File.ReadAllBytes(first.MasterFile));
    }
}
