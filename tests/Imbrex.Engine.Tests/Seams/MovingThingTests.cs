using Imbrex.Engine.Blending;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Merging;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

/// <summary>
/// Walkers are found where they are, and shown whole or not at all; what stands still is not called a walker. Tiles of 600 x 400 px share
/// 150 px with their neighbours across and 133 down. The picture stands upright, so that t12 is its upper left tile and t02 the lower left one: t12 and
/// t11 share columns 433 to 583 of the canvas, t12 and t02 rows 250 to 383.
/// </summary>
public sealed class MovingThingTests(ITestOutputHelper output)
{
    private static readonly double[] Coat = [52_000, 9_000, 8_000];

    private static CameraFaults Noisy => new() { Seed = 5, PositionSdMm = 0.2, PositionMaxMm = 0.4, RotationSdDeg = 0.15, RotationMaxDeg = 0.4, ReadNoise = 0.002, FullWell = 40_000, GainSdStops = 0.1, ExposureStops = -0.4 };

    private SeamBench Bench(CameraFaults? faults = null, IScene? scene = null) => new(scene ?? SmallTake.Photograph, SmallTake.Grid(3, 2), faults ?? Noisy);

    [Theory]
    [InlineData("t12", 470, 60)]
    [InlineData("t11", 500, 100)]
    [InlineData("t11", 505, 40)]
    public void A_walker_in_one_of_two_frames_is_found_and_left_out(string tile, int x, int y)
    {
        using SeamBench bench = Bench();
        var box = new CanvasArea(x, y, 36, 90);
        bench.Paint(tile, box, Coat);

        FoundSeams found = bench.Find();

        MovingThing thing = Assert.Single(found.Moving);
        output.WriteLine($"{thing}");
        AssertNear(box, thing.Box, 6);
        Assert.Equal([bench.Index("t11"), bench.Index("t12")], thing.Frames);
        int other = bench.Index(tile == "t12" ? "t11" : "t12");
        Assert.Equal(other, thing.Shown);
        AssertWhole(bench, found, thing, box);
    }

    [Fact]
    public void A_walker_who_walks_on_is_left_out_at_both_places()
    {
        using SeamBench bench = Bench();
        bench.Paint("t12", new(460, 40, 30, 80), Coat);
        bench.Paint("t11", new(520, 60, 30, 80), Coat);

        FoundSeams found = bench.Find();

        Assert.Equal(2, found.Moving.Count);
        MovingThing first = found.Moving.MinBy(thing => thing.Box.X)!, second = found.Moving.MaxBy(thing => thing.Box.X)!;
        AssertNear(new(460, 40, 30, 80), first.Box, 6);
        AssertNear(new(520, 60, 30, 80), second.Box, 6);
        Assert.Equal((bench.Index("t11"), bench.Index("t12")), (first.Shown, second.Shown));
        AssertWhole(bench, found, first, new(460, 40, 30, 80));
        AssertWhole(bench, found, second, new(520, 60, 30, 80));
    }

    [Fact]
    public void A_walker_who_leaves_what_is_shared_is_shown_whole()
    {
        // Half of it stands where only t12 looks: the other half must come from t12 too.
        using SeamBench bench = Bench();
        var box = new CanvasArea(405, 60, 60, 90);
        bench.Paint("t12", box, Coat);

        FoundSeams found = bench.Find();

        MovingThing thing = Assert.Single(found.Moving);
        Assert.Equal(bench.Index("t12"), thing.Shown);
        AssertWhole(bench, found, thing, box);
    }

    [Theory]
    [InlineData("t12")]
    [InlineData("t01")]
    public void Where_four_frames_meet_the_majority_wins(string tile)
    {
        using SeamBench bench = Bench();
        var box = new CanvasArea(480, 275, 50, 80);
        bench.Paint(tile, box, Coat);

        FoundSeams found = bench.Find();

        MovingThing thing = Assert.Single(found.Moving);
        output.WriteLine($"{thing}");
        AssertNear(box, thing.Box, 8);
        Assert.NotEqual(bench.Index(tile), thing.Shown);
        AssertWhole(bench, found, thing, box);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Takes_in_which_nothing_moves_have_no_moving_things(int seed)
    {
        foreach (IScene scene in new IScene[] { SmallTake.Photograph, PhotographScene.Load(TestData.Meadow, 300, 700) })
        {
            using SeamBench bench = Bench(Noisy with { Seed = seed }, scene);
            Assert.Empty(bench.Find().Moving);
        }
    }

    [Theory]
    [InlineData(1.0)]
    [InlineData(2.0)]
    [InlineData(4.0)]
    public void A_frame_out_of_focus_does_not_move_but_is_soft(double blur)
    {
        foreach (IScene scene in new IScene[] { SmallTake.Photograph, PhotographScene.Load(TestData.Meadow, 300, 700) })
        {
            using SeamBench bench = Bench(Noisy with { DefocusedTile = "t11", DefocusPx = blur }, scene);
            FoundSeams found = bench.Find();
            output.WriteLine($"{blur}: {found.Moving.Count} {string.Join(" ", found.Sharpness.Select(s => $"{s.Relative:0.00}"))}");
            Assert.Empty(found.Moving);
            Assert.All(found.Sharpness.Index(), item => Assert.Equal(item.Index == bench.Index("t11"), item.Item.IsSoft));
            // Its neighbours show most of what they share with it.
            var shared = new CanvasArea(440, 60, 136, 150);
            var labels = new byte[shared.Size];
            bench.Map(found).Fill(shared, labels, new float[shared.Size]);
            Assert.True(labels.AsSpan().Count((byte)bench.Index("t12")) > 0.8 * shared.Size);
        }
    }

    [Theory]
    [InlineData(0.5)]
    [InlineData(1.0)]
    public void Shading_that_was_not_taken_out_does_not_move(double stops)
    {
        using SeamBench bench = Bench(Noisy with { ShadingStops = stops, CastSdStops = 0.2 * stops });
        FoundSeams found = bench.Find();
        Assert.Empty(found.Moving);
        Assert.All(found.Sharpness, sharpness => Assert.False(sharpness.IsSoft));
    }

    [Fact]
    public void Frames_a_pixel_out_of_place_do_not_move()
    {
        using var bench = new SeamBench(SmallTake.Photograph, SmallTake.Grid(3, 2), Noisy) { Misplaced = 1 };
        Assert.Empty(bench.Find().Moving);
    }

    [Fact]
    public void Noise_of_a_night_does_not_move()
    {
        using SeamBench bench = Bench(Noisy with { ReadNoise = 0.004, FullWell = 3000, ExposureStops = -5 });
        Assert.Empty(bench.Find().Moving);
    }

    [Fact]
    public void A_merge_names_the_place_and_shows_no_half_walkers()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), Noisy);
        string tile = bench.Truth.Tiles.Single(t => t.Id == "t11").File;
        Walkers.Paint(Path.Combine(bench.Frames, tile), 60, 90, 36, 90, Coat);

        Engine.Merging.MergeResult result = bench.Merge();

        FindingPart finding = Assert.Single(result.Mosaic.Findings, finding => finding.Kind == "moving");
        output.WriteLine(finding.Text);
        Assert.Equal("t12", finding.Tile);
        ushort[] pixels = SmallTake.Pixels(result.MasterFile, out int width, out int bands);
        IReadOnlyList<int> box = finding.Box!;
        for (int y = box[1]; y < box[1] + box[3]; y++)
        {
            for (int x = box[0]; x < box[0] + box[2]; x++)
            {
                int at = (y * width + x) * bands;
                Assert.False(pixels[at] > 40_000 && pixels[at + 1] < 15_000);
            }
        }
        Assert.Contains("Something moved", File.ReadAllText(Path.Combine(bench.Output, Engine.Merging.MergeRunner.ReportName)), StringComparison.Ordinal);
    }

    [Fact]
    public void A_hidden_walker_leaves_no_shadow_beside_the_seam()
    {
        // The same take with and without the walker, poses and gains found anew: blending must not carry its dark coat across the seam.
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 1), Noisy);
        ushort[] without = SmallTake.Pixels(bench.Merge().MasterFile, out int width, out int bands);
        Walkers.Paint(Path.Combine(bench.Frames, bench.Truth.Tiles.Single(t => t.Id == "t01").File), 45, 100, 50, 120, [1500, 1500, 1500]);
        Engine.Merging.MergeResult result = bench.Merge();
        ushort[] with = SmallTake.Pixels(result.MasterFile, out _, out _);
        IReadOnlyList<int> box = Assert.Single(result.Mosaic.Findings, finding => finding.Kind == "moving").Box!;
        double worst = 0;
        for (int y = box[1] - 60; y < box[1] + box[3] + 60; y += 12)
        {
            for (int x = box[0] - 60; x < box[0] + box[2] + 60; x += 12)
            {
                // Means of 12 x 12 px: what is left of noise, which the seam's new way brings from another frame, is small in them.
                double sum = 0;
                for (int i = 0; i < 144; i++)
                    sum += with[((y + i / 12) * width + x + i % 12) * bands + 1] - without[((y + i / 12) * width + x + i % 12) * bands + 1];
                worst = Math.Max(worst, Math.Abs(sum / 144));
            }
        }
        output.WriteLine($"worst mean {worst:0} codes");
        Assert.True(worst < 250);
    }

    // Coat and head both show the one frame.
    private static void AssertWhole(SeamBench bench, FoundSeams found, MovingThing thing, CanvasArea box)
    {
        int head = box.Height / 4;
        Assert.Equal([thing.Shown], bench.Shown(found, box with { Y = box.Y + head, Height = box.Height - head }));
        Assert.Equal([thing.Shown], bench.Shown(found, new(box.X + box.Width / 2 - head / 2, box.Y, head, head)));
    }

    private static void AssertNear(CanvasArea want, CanvasArea got, int within)
    {
        Assert.InRange(got.X, want.X - within, want.X + within);
        Assert.InRange(got.Y, want.Y - within, want.Y + within);
        Assert.InRange(got.Right, want.Right - within, want.Right + within);
        Assert.InRange(got.Bottom, want.Bottom - within, want.Bottom + within);
    }
}
