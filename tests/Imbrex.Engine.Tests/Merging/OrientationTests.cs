using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Files lie about their orientation; tiles come out upright and in their places all the same.</summary>
public sealed class OrientationTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData(FileOrientation.Untagged)]
    [InlineData(FileOrientation.Tagged)]
    [InlineData(FileOrientation.Stale)]
    [InlineData(FileOrientation.Baked)]
    public void Mixed_turns_with_the_back_turned_over_are_placed_whatever_the_files_say(FileOrientation orientation)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.MixedTurns(), SmallTake.Shaken with { Orientation = orientation });
        MergeResult result = bench.Merge();
        Check(result, bench.Truth);
        Assert.DoesNotContain(result.Mosaic.Findings, f => f.Kind == "orientation");
        foreach (MosaicTilePart tile in result.Mosaic.Tiles)
        {
            bool upright = tile.Id.StartsWith("upright", StringComparison.Ordinal);
            Assert.Equal(orientation == FileOrientation.Baked && upright ? true : null, tile.StoredTurned);
            int turn = bench.Plan.Tiles.Single(t => t.Id == tile.Id).TurnDeg, stored = orientation == FileOrientation.Baked && upright ? 0 : turn;
            Assert.InRange(Math.Abs(Math.IEEERemainder(tile.RotationDeg - stored, 360)), 0, 0.6);
            Assert.InRange(tile.RotationDeg, -180 + 1e-9, 180);
        }
    }

    [Theory]
    [InlineData("upright")]
    [InlineData("upright-over")]
    [InlineData("level")]
    [InlineData("over")]
    public void One_frame_upside_down_is_found_turned_and_named(string which)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.MixedTurns(), SmallTake.Shaken);
        TruthTilePart truth = bench.Truth.Tiles.Single(t => t.Id == which);
        SmallTake.TurnUpsideDown(Path.Combine(bench.Frames, truth.File));
        MergeResult result = bench.Merge();
        FindingPart finding = Assert.Single(result.Mosaic.Findings, f => f.Kind == "orientation");
        Assert.Equal(which, finding.Tile);
        Check(result, Turned(bench.Truth, t => t.Id == which));
    }

    [Fact]
    public void Even_files_that_were_turned_already_may_be_upside_down()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.MixedTurns(), SmallTake.Shaken with { Orientation = FileOrientation.Baked });
        SmallTake.TurnUpsideDown(Path.Combine(bench.Frames, bench.Truth.Tiles[3].File));
        MergeResult result = bench.Merge();
        Assert.Equal("upright-over", Assert.Single(result.Mosaic.Findings, f => f.Kind == "orientation").Tile);
        Check(result, Turned(bench.Truth, t => t.Id == "upright-over"));
    }

    [Fact]
    public void All_frames_upside_down_are_found_or_told()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 2), SmallTake.Shaken);
        foreach (TruthTilePart tile in bench.Truth.Tiles)
            SmallTake.TurnUpsideDown(Path.Combine(bench.Frames, tile.File));
        TruthDocument truth = Turned(bench.Truth, _ => true);

        MergeResult found = bench.Merge();
        Check(found, truth);
        Assert.Equal(4, found.Mosaic.Findings.Count(f => f.Kind == "orientation"));

        MergeResult told = bench.Merge(request => request with { Orientation = new Dictionary<string, int> { [""] = 180 } });
        Check(told, truth);
        Assert.DoesNotContain(told.Mosaic.Findings, f => f.Kind == "orientation");
        Assert.Equal(180, told.Mosaic.Options.Orientation?[""]);
    }

    [Fact]
    public void An_imposed_turn_is_kept_even_against_the_picture()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 2), SmallTake.Shaken);
        MergeResult result = bench.Merge(request => request with { Orientation = new Dictionary<string, int> { ["t01"] = 180 } });
        Assert.DoesNotContain(result.Mosaic.Findings, f => f.Kind == "orientation" && f.Tile == "t01");
        Assert.InRange(Math.Abs(result.Mosaic.Tiles.Single(t => t.Id == "t01").RotationDeg), 178, 180);
        Assert.All(result.Mosaic.Tiles.Where(t => t.Id != "t01"), t => Assert.InRange(t.RotationDeg, -1, 1));
    }

    [Theory]
    [InlineData("", 90, "90")]
    [InlineData("t00", 270, "t00")]
    [InlineData("t00", 45, "45")]
    [InlineData("t77", 180, "t77")]
    public void A_turn_that_cannot_be_is_refused(string tile, int degrees, string named)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), new());
        InputException e = Assert.Throws<InputException>(() => bench.Merge(request => request with { Orientation = new Dictionary<string, int> { [tile] = degrees } }));
        Assert.Contains(named, e.Message);
        Assert.False(Directory.Exists(bench.Output));
    }

    private void Check(MergeResult result, TruthDocument truth)
    {
        PoseError error = PoseError.Of(result.Mosaic, truth);
        output.WriteLine($"RMS {error.Rms:0.0000} px, largest {error.Largest:0.0000} px");
        Assert.InRange(error.Rms, 0, 0.05);
    }

    // The truth of frames whose files were turned upside down afterwards: the same place, the opposite rotation of the stored pixels.
    private static TruthDocument Turned(TruthDocument truth, Func<TruthTilePart, bool> which) => truth with
    {
        Tiles = [.. truth.Tiles.Select(t => which(t)
            ? t with { RotationDeg = Sdk.Geometry.Angles.Wrap(t.RotationDeg + 180), CornersPx = [.. t.CornersPx.Skip(2), .. t.CornersPx.Take(2)] }
            : t)],
    };
}
