using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>What a merge writes is true: poses, gains, holes, and the same bytes every time.</summary>
public sealed class MergeResultTests(ITestOutputHelper output)
{
    // Detail no finer than 24 px, so that a pixel's value can be read between pixels.
    private static readonly AnalyticScene Soft = AnalyticScene.Create(seed: 8, count: 14, shortest: 24, longest: 200);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void A_row_of_one_or_two_tiles_is_merged(int tiles)
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(tiles, 1), SmallTake.Shaken);
        MergeResult result = bench.Merge();
        Assert.Equal(tiles, result.Mosaic.Tiles.Count);
        Assert.DoesNotContain(result.Mosaic.Findings, f => f.Kind == "untied");
        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        output.WriteLine($"RMS {error.Rms:0.0000}, sigma {result.Mosaic.Tiles[0].SigmaPx:0.0000}");
        Assert.InRange(error.Rms, 0, 0.05);
        if (tiles == 1)
            Assert.Equal([1.0, 1, 1], result.Mosaic.Tiles[0].Gain);
    }

    /// <summary>
    /// canvas = (xPx, yPx) + R(rotationDeg) (stored - centre), read off the files alone: what a stored pixel shows, the master shows there.
    /// </summary>
    [Theory]
    [InlineData(FileOrientation.Untagged)]
    [InlineData(FileOrientation.Baked)]
    public void The_poses_lead_from_stored_pixels_to_the_master(FileOrientation orientation)
    {
        using var bench = new MergeBench(Soft, SmallTake.MixedTurns(), new CameraFaults
        {
            Seed = 2,
            PositionSdMm = 0.2,
            PositionMaxMm = 0.4,
            RotationSdDeg = 0.2,
            RotationMaxDeg = 0.4,
            Orientation = orientation,
        });
        MergeResult result = bench.Merge();
        ushort[] master = SmallTake.Pixels(result.MasterFile, out int width, out int bands);
        int height = master.Length / width / bands, compared = 0;
        MosaicDocument read = JsonDocuments.Read<MosaicDocument>(result.MosaicFile, MosaicDocument.SchemaName);
        foreach (MosaicTilePart tile in read.Tiles)
        {
            ushort[] frame = SmallTake.Pixels(Path.Combine(Path.GetDirectoryName(result.MosaicFile)!, tile.File), out int w, out _);
            int h = frame.Length / w / 3;
            (double sin, double cos) = Math.SinCos(tile.RotationDeg * Math.PI / 180);
            for (int y = 4; y < h; y += 37)
            {
                for (int x = 4; x < w; x += 41)
                {
                    (double dx, double dy) = (x - (w - 1) / 2.0, y - (h - 1) / 2.0);
                    (double cx, double cy) = (tile.XPx + cos * dx - sin * dy, tile.YPx + sin * dx + cos * dy);
                    if (cx < 2 || cy < 2 || cx > width - 3 || cy > height - 3)
                        continue;
                    double got = Between(master, width, bands, cx, cy);
                    // A pixel's step is at most 2 pi / 24 of the contrast; a place wrong by half a pixel would show.
                    Assert.InRange(frame[(y * w + x) * 3] - got, -90, 90);
                    compared++;
                }
            }
        }
        Assert.True(compared > 300);
    }

    [Fact]
    public void The_same_bytes_come_from_one_two_and_four_workers()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { GainSdStops = 0.1 });
        string? first = null;
        foreach (int workers in new[] { 1, 2, 4, 2 })
        {
            MergeResult result = bench.Merge(request => request with { Workers = workers });
            string now = string.Join(' ', new[] { "master.tif", "mosaic.json", "report.html" }.Select(name => Engine.Intake.FileHash.Of(Path.Combine(bench.Output, name), TestContext.Current.CancellationToken)));
            first ??= now;
            Assert.Equal(first, now);
            Assert.Equal(["master.tif", "mosaic.json", "report.html"], Directory.EnumerateFileSystemEntries(bench.Output).Select(Path.GetFileName).Order(StringComparer.Ordinal));
        }
    }

    [Fact]
    public void The_document_reads_back_as_it_was_and_names_no_place_on_this_machine()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        MergeResult result = bench.Merge();
        string text = File.ReadAllText(result.MosaicFile);
        MosaicDocument read = JsonDocuments.Read<MosaicDocument>(result.MosaicFile, MosaicDocument.SchemaName);
        Assert.Equal(JsonDocuments.ToBytes(result.Mosaic), JsonDocuments.ToBytes(read));
        Assert.DoesNotContain(Path.GetTempPath(), text);
        Assert.Equal("../frames/frame-001.tif", read.Tiles[0].File);
        Assert.Equal(Engine.Intake.FileHash.Of(Path.Combine(bench.Frames, "frame-001.tif"), TestContext.Current.CancellationToken), read.Tiles[0].Sha256);
        using Image master = Image.NewFromFile(result.MasterFile);
        Assert.Equal((read.WidthPx, read.HeightPx, 3), (master.Width, master.Height, master.Bands));
        Assert.Equal(Enums.BandFormat.Ushort, master.Format);
        Assert.Equal(SmallTake.PxPerMm, master.Xres, 1e-4);
        using Image frame = Image.NewFromFile(Path.Combine(bench.Frames, "frame-001.tif"));
        Assert.Equal((byte[])frame.Get("icc-profile-data"), (byte[])master.Get("icc-profile-data"));
    }

    [Fact]
    public void Drift_of_exposure_and_colour_is_evened_out_within_a_hundredth_of_a_stop()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { GainSdStops = 0.15, GainColourSdStops = 0.05, ExposureStops = -0.6 });
        MergeResult result = bench.Merge();
        double worst = 0;
        foreach (MosaicTilePart tile in result.Mosaic.Tiles)
        {
            IReadOnlyList<double> want = bench.Truth.Tiles.Single(t => t.Id == tile.Id).Gain;
            worst = Math.Max(worst, Enumerable.Range(0, 3).Max(band => Math.Abs(Math.Log2(tile.Gain[band] / want[band]))));
        }
        output.WriteLine($"{worst:0.0000} stops");
        Assert.InRange(worst, 0, 0.01);
        Assert.All(result.Mosaic.Pairs, pair => Assert.All(pair.ExposureStops!, stops => Assert.InRange(stops, -0.01, 0.01)));
        Assert.Contains(bench.Truth.Tiles, t => Math.Abs(Math.Log2(t.Gain[0])) > 0.1);
    }

    [Fact]
    public void What_no_frame_shows_is_clear_counted_and_told()
    {
        PlanDocument plan = SmallTake.Grid(2, 2);
        plan = plan with { Tiles = [.. plan.Tiles.Take(3)] };
        using var bench = new MergeBench(SmallTake.Photograph, plan, SmallTake.Shaken);
        MergeResult result = bench.Merge();
        ushort[] master = SmallTake.Pixels(result.MasterFile, out int width, out int bands);
        Assert.Equal(4, bands);
        // The tile at lower right on the image plane is missing: the upper left of the scene.
        Assert.Equal([0, 0, 0, 0], master[((20 * width + 20) * 4)..((20 * width + 21) * 4)]);
        Assert.Equal(65535, master[^1]);
        int clear = 0;
        for (int i = 3; i < master.Length; i += 4)
        {
            Assert.True(master[i] is 0 or 65535);
            clear += master[i] == 0 ? 1 : 0;
        }
        FindingPart hole = Assert.Single(result.Mosaic.Findings, f => f.Kind == "hole");
        Assert.StartsWith($"{clear} px", hole.Text);
        Assert.InRange(PoseError.Of(result.Mosaic, bench.Truth).Rms, 0, 0.05);
    }

    [Fact]
    public void Whole_blocks_that_nothing_shows_beside_a_frame_are_clear()
    {
        // One tile in the middle of a format so wide that the first block ends just before it.
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Plan(104, 22, [new() { Id = "only", XMm = 0, YMm = 0 }]), new());
        MergeResult result = bench.Merge();
        ushort[] master = SmallTake.Pixels(result.MasterFile, out int width, out _);
        Assert.Equal(0, master[3]);
        Assert.Equal(65535, master[width / 2 * 4 + 3]);
    }

    [Fact]
    public void Frames_without_any_detail_stay_where_the_plan_puts_them_and_are_named()
    {
        using var bench = new MergeBench(new AnalyticScene(0.4f, []), SmallTake.Grid(2, 2), SmallTake.Shaken with { ReadNoise = 0.005 });
        MergeResult result = bench.Merge();
        Assert.Equal(["t00", "t01", "t10", "t11"], result.Mosaic.Findings.Where(f => f.Kind == "untied").Select(f => f.Tile));
        foreach ((MosaicTilePart tile, TilePart planned) in result.Mosaic.Tiles.Zip(bench.Plan.Tiles))
        {
            // Design, section 3.
            Assert.Equal((-planned.XMm - result.Mosaic.LeftMm) * SmallTake.PxPerMm - 0.5, tile.XPx, 1e-6);
            Assert.Equal((-planned.YMm - result.Mosaic.TopMm) * SmallTake.PxPerMm - 0.5, tile.YPx, 1e-6);
            Assert.Equal(0, tile.RotationDeg, 1e-9);
            Assert.All(tile.Gain, gain => Assert.InRange(gain, 0.99, 1.01));
        }
    }

    [Fact]
    public void One_frame_without_detail_among_others_stays_at_its_place_and_does_not_spoil_them()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 1), SmallTake.Shaken with { ReadNoise = 0, FullWell = double.PositiveInfinity });
        SmallTake.Change(Path.Combine(bench.Frames, bench.Truth.Tiles[2].File), image => (image * 0 + 20000).Cast(Enums.BandFormat.Ushort));
        MergeResult result = bench.Merge();
        Assert.Equal("t02", Assert.Single(result.Mosaic.Findings, f => f.Kind == "untied").Tile);
        Assert.Equal((-27 - result.Mosaic.LeftMm) * SmallTake.PxPerMm - 0.5, result.Mosaic.Tiles[2].XPx, 1e-6);
        MosaicDocument others = result.Mosaic with { Tiles = [.. result.Mosaic.Tiles.Take(2)] };
        Assert.InRange(PoseError.Of(others, bench.Truth).Rms, 0, 0.05);
    }

    [Fact]
    public void A_plan_written_by_hand_merges_without_a_kit()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        byte[] text = """
            { "schema": "imbrex/plan/1",
              "sensor": { "widthMm": 36, "heightMm": 24, "widthPx": 600, "heightPx": 400 },
              "format": { "widthMm": 61, "heightMm": 22 },
              "tiles": [ { "id": "right", "xMm": 13.5, "yMm": 0, "file": "frame-002.tif" }, { "id": "left", "xMm": -13.5, "yMm": 0, "file": "frame-001.tif" } ] }
            """u8.ToArray();
        PlanDocument plan = JsonDocuments.Parse<PlanDocument>(text, PlanDocument.SchemaName, "plan.json");
        MergeResult result = bench.Merge(request => request with { Plan = plan });
        TruthDocument truth = bench.Truth with { Tiles = [bench.Truth.Tiles[1] with { Id = "right" }, bench.Truth.Tiles[0] with { Id = "left" }] };
        Assert.InRange(PoseError.Of(result.Mosaic, truth).Rms, 0, 0.05);
    }

    /// <summary>The overlap that plans have at least, a tenth of the sensor's short side, with position errors up to 0.3 mm.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void The_least_overlap_of_a_plan_is_enough_to_place_tiles(int seed)
    {
        PlanDocument plan = SmallTake.Plan(68, 44,
            from row in new[] { -10.8, 10.8 } from column in new[] { -16.8, 16.8 } select new TilePart { Id = $"{column} {row}", XMm = column, YMm = row });
        plan = plan with { Sensor = SmallTake.Sensor with { WidthPx = 1500, HeightPx = 1000 } };
        using var bench = new MergeBench(SmallTake.Photograph, plan, new CameraFaults
        {
            Seed = seed,
            PositionSdMm = 0.2,
            PositionMaxMm = 0.3,
            RotationSdDeg = 0.1,
            RotationMaxDeg = 0.25,
            ReadNoise = 0.001,
            FullWell = 60_000,
            ExposureStops = -0.3,
        });
        MergeResult result = bench.Merge();
        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.1);
        Assert.DoesNotContain(result.Mosaic.Findings, f => f.Kind == "untied");
    }

    /// <summary>A background out of focus, without anything sharp in whole overlaps: measured 0.006 and 0.005 px.</summary>
    [Theory]
    [InlineData(300, 400)]
    [InlineData(3500, 200)]
    public void Blurred_backgrounds_are_placed_too(int x, int y)
    {
        using var bench = new MergeBench(PhotographScene.Load(TestData.Meadow, x, y), SmallTake.Grid(3, 2), SmallTake.Shaken);
        MergeResult result = bench.Merge();
        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Largest, 0, 0.1);
        // What is claimed is not far from what is so.
        Assert.InRange(error.Rms, 0, 8 * result.Mosaic.Tiles.Average(t => t.SigmaPx));
    }

    private static double Between(ushort[] pixels, int width, int bands, double x, double y)
    {
        (int x0, int y0) = ((int)x, (int)y);
        double At(int column, int row) => pixels[(row * width + column) * bands];
        (double fx, double fy) = (x - x0, y - y0);
        return (1 - fy) * ((1 - fx) * At(x0, y0) + fx * At(x0 + 1, y0)) + fy * ((1 - fx) * At(x0, y0 + 1) + fx * At(x0 + 1, y0 + 1));
    }
}
