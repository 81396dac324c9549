using Imbrex.Engine.Blending;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Seams;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Intake;
using Imbrex.Engine.Tests.Merging;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Seams;

public sealed class SeamFinderTests(ITestOutputHelper output)
{
    [Fact]
    public void Every_pixel_of_any_layout_shows_a_frame_that_covers_it()
    {
        using var raw = new RawFrames();
        var random = new Random(51);
        for (int trial = 0; trial < 40; trial++)
        {
            int count = 1 + random.Next(6);
            List<PlacedFrame> frames = [.. Enumerable.Range(0, count).Select(i => new PlacedFrame($"f{i}", Texture(raw, random, 60, 40), FrameOutlineTests.RandomPlace(random, trial % 3)))];
            Placement[] places = [.. frames.Select(frame => frame.Nominal)];
            FoundSeams found = Find(frames, places, 1);
            var seams = new SeamMap(frames, places, found);
            var area = new CanvasArea(-12, -9, 150, 125);
            byte[] labels = Fill(seams, area);
            for (int i = 0; i < labels.Length; i++)
            {
                (int x, int y) = (area.X + i % area.Width, area.Y + i / area.Width);
                double[] depths = [.. Enumerable.Range(0, count).Select(k => Depth(frames[k], places[k], x, y))];
                if (labels[i] == SeamMap.None)
                    Assert.All(depths, depth => Assert.True(depth < 1e-3));
                else
                    Assert.True(depths[labels[i]] > -1e-3);
            }
            // The same for any block, and what is plainly whole is.
            for (int block = 0; block < 10; block++)
            {
                var part = new CanvasArea(random.Next(-10, 100), random.Next(-5, 80), 1 + random.Next(30), 1 + random.Next(30));
                byte[] own = Fill(seams, part);
                for (int i = 0; i < own.Length; i++)
                    Assert.Equal(labels[(part.Y - area.Y + i / part.Width) * area.Width + part.X - area.X + i % part.Width], own[i]);
                if (seams.Whole(part) is { } whole)
                    Assert.All(own, label => Assert.Equal(whole, label));
            }
        }
    }

    [Fact]
    public void The_seams_do_not_depend_on_the_number_of_workers_nor_on_what_is_held()
    {
        using var bench = new SeamBench(SmallTake.Photograph, SmallTake.Grid(3, 2), new CameraFaults { Seed = 9, PositionSdMm = 0.2, RotationSdDeg = 0.2, FullWell = 20_000, GainSdStops = 0.1, ExposureStops = -0.5, DefocusedTile = "t11" });
        bench.Paint("t12", new(470, 60, 40, 80), 10_000, 50_000, 9_000);
        FoundSeams one = bench.Find(1, mostHeld: 100);
        var whole = new CanvasArea(0, 0, bench.Width, bench.Height);
        byte[] labels = Fill(bench.Map(one), whole);
        foreach ((int workers, int mostHeld) in new[] { (2, 100), (4, 1), (1, 3) })
        {
            FoundSeams other = bench.Find(workers, mostHeld);
            Assert.Equal(labels, Fill(bench.Map(other), whole));
            Assert.Equal(one.Moving.Select(thing => (thing.Box, thing.Shown, thing.Strength)), other.Moving.Select(thing => (thing.Box, thing.Shown, thing.Strength)));
            Assert.Equal(one.Sharpness, other.Sharpness);
        }
    }

    [Fact]
    public void Where_frames_agree_seams_run_along_the_middle()
    {
        // A cloudless sky: nothing draws the seam aside. The middle line of columns 60 to 119 lies at 89.5.
        using var raw = new RawFrames();
        var noise = new Random(5);
        double Sky(int x, int y, int band) => 30_000 + 40 * y + 3000 * band + 200 * noise.NextDouble();
        List<PlacedFrame> frames = [new("a", raw.Of(120, 100, Sky), new(59.5, 49.5, 0)), new("b", raw.Of(120, 100, Sky), new(119.5, 49.5, 0))];
        byte[] labels = Fill(new(frames, [.. frames.Select(f => f.Nominal)], Find(frames, [.. frames.Select(f => f.Nominal)], 1, 180, 100)), new(0, 0, 180, 100));
        for (int y = 0; y < 100; y++)
        {
            Assert.True(labels.AsSpan(y * 180, 78).Count((byte)0) == 78);
            Assert.True(labels.AsSpan(y * 180 + 102, 78).Count((byte)1) == 78);
        }
    }

    [Fact]
    public void A_seam_goes_round_what_differs()
    {
        // A disc in the middle of what is shared shows different things in the two frames: the seam may pass on either side, not through it.
        using var raw = new RawFrames();
        var random = new Random(6);
        double[,] ground = new double[260, 160];
        for (int i = 0; i < ground.Length; i++)
            ground[i % 260, i / 260] = 30_000 + 4000 * random.NextDouble();
        bool InDisc(int x, int y) => (x - 130) * (x - 130) + (y - 80) * (y - 80) < 30 * 30;
        List<PlacedFrame> frames =
        [
            new("a", raw.Of(180, 160, (x, y, _) => ground[x, y] + 100 * random.NextDouble()), new(89.5, 79.5, 0)),
            new("b", raw.Of(180, 160, (x, y, _) => (InDisc(x + 80, y) ? 9000 : ground[x + 80, y]) + 100 * random.NextDouble()), new(169.5, 79.5, 0)),
        ];
        FoundSeams found = Find(frames, [.. frames.Select(f => f.Nominal)], 1, 260, 160);
        byte[] labels = Fill(new(frames, [.. frames.Select(f => f.Nominal)], found), new(0, 0, 260, 160));
        Assert.Equal(new CanvasArea(101, 51, 59, 59), Assert.Single(found.Moving).Box);
        byte[] shown = [.. Enumerable.Range(0, labels.Length).Where(i => InDisc(i % 260, i / 260)).Select(i => labels[i]).Distinct()];
        Assert.Single(shown);
    }

    [Fact]
    public void Seams_found_coarse_to_fine_cost_hardly_more_than_those_of_all_cells_at_once()
    {
        using var bench = new SeamBench(SmallTake.Photograph, SmallTake.Grid(3, 2), new CameraFaults { Seed = 13, PositionSdMm = 0.3, RotationSdDeg = 0.3, FullWell = 20_000, ExposureStops = -0.5, DefocusedTile = "t11" });
        bench.Paint("t12", new(470, 60, 40, 80), 10_000, 50_000, 9_000);
        Engine.Intake.Frame[] frames = [.. bench.Frames.Select(frame => frame.Frame)];
        FrameOutline[] outlines = [.. bench.Frames.Select((frame, i) => new FrameOutline(frame, bench.Placements[i]))];
        FrameLight light = FrameLight.FromProfile([]);
        using CellShelf shelf = bench.Shelf();
        CellPicture[] pictures = CellReader.Read(frames, outlines, [.. frames.Select(_ => new Evening(light, [1, 1, 1]))], CellGrid.Over(bench.Width, bench.Height, 4), shelf, 2, new Progress<double>(), TestContext.Current.CancellationToken);
        PairDifference[] pairs = [.. SharedCells.All(pictures).Select(PairDifference.Of)];
        (_, IReadOnlyDictionary<int, byte> bound) = MovingThings.Find(pictures, outlines, pairs, bench.Width, bench.Height);
        var costs = SeamCosts.OnCells(outlines, pictures, pairs, SharpnessComparison.Measure(pictures), bound);
        byte[] middle = MiddlePartition.Of(outlines, costs, pictures[0].Cells.Grid), all = [.. middle];
        SeamCut.Improve(costs, all, null, TestContext.Current.CancellationToken);

        FoundSeams found = bench.Find();

        CellGrid grid = found.Labels.Grid;
        byte[] labels = [.. Enumerable.Range(0, grid.Count).Select(i => found.Labels[i % grid.Columns, i / grid.Columns])];
        (long before, long best, long after) = (SeamCut.Cost(costs, middle), SeamCut.Cost(costs, all), SeamCut.Cost(costs, labels));
        output.WriteLine($"middle {before}, coarse to fine {after}, all cells {best}");
        Assert.True(after < before);
        Assert.True(after < 1.1 * best);
    }

    [Fact]
    public void A_frame_that_shook_sideways_is_soft_across()
    {
        using var bench = new SeamBench(SmallTake.Photograph, SmallTake.Grid(3, 2), new CameraFaults { Seed = 3, FullWell = 40_000, ExposureStops = -0.3 });
        bench.Change("t11", image => image.Conv(Image.NewFromArray(new double[,] { { 1, 1, 1, 1, 1, 1, 1 } }, scale: 7)).Cast(Enums.BandFormat.Ushort));

        FoundSeams found = bench.Find();

        FrameSharpness shaken = found.Sharpness[bench.Index("t11")];
        output.WriteLine($"{shaken}");
        Assert.True(shaken.IsSoft && shaken.IsDirectional && shaken.Across < shaken.Down);
        Assert.Single(found.Sharpness, sharpness => sharpness.IsSoft);
        Assert.Empty(found.Moving);
    }

    private static Engine.Intake.Frame Texture(RawFrames raw, Random random, int width, int height)
    {
        (double fx, double fy, double phase) = (random.NextDouble() / 3, random.NextDouble() / 3, 6 * random.NextDouble());
        return raw.Of(width, height, (x, y, band) => 30_000 + 15_000 * Math.Sin(fx * x + fy * y + phase + band) + 300 * random.NextDouble());
    }

    private static FoundSeams Find(IReadOnlyList<PlacedFrame> frames, IReadOnlyList<Placement> places, int workers, int width = 120, int height = 100)
    {
        FrameLight light = FrameLight.FromProfile([]);
        using var shelf = new CellShelf(Path.Combine(Path.GetTempPath(), $"imbrex-cells-{Guid.NewGuid()}"), mostHeld: 2);
        return SeamFinder.Find(frames, places, [.. frames.Select(_ => new Evening(light, [1, 1, 1]))], width, height, shelf, workers, new Progress<double>(), TestContext.Current.CancellationToken);
    }

    private static byte[] Fill(SeamMap seams, CanvasArea area)
    {
        var labels = new byte[area.Size];
        seams.Fill(area, labels, new float[area.Size]);
        return labels;
    }

    private static double Depth(PlacedFrame frame, Placement place, double x, double y)
    {
        (double dx, double dy) = place.ToFrame(x, y);
        return Math.Min(frame.Frame.CentreX - Math.Abs(dx), frame.Frame.CentreY - Math.Abs(dy));
    }
}
