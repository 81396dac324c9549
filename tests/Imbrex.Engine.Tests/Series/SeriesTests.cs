using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Series;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Merging;
using Xunit;

namespace Imbrex.Engine.Tests.Series;

/// <summary>Several frames of one tile.</summary>
public sealed class SeriesTests(ITestOutputHelper output)
{
    // Shoots the take several times over, the body not quite where it was, and names the frames tile by tile.
    private static (MergeBench Bench, PlanDocument Plan) Shoot(IReadOnlyList<CameraFaults> faults)
    {
        PlanDocument plan = SmallTake.Grid(2, 1);
        var bench = new MergeBench(SmallTake.Photograph, plan, faults[0]);
        for (int k = 1; k < faults.Count; k++)
            new SimulatedCamera(SmallTake.Photograph, plan, faults[k]).Shoot(Path.Combine(bench.Frames, $"again-{k}"));
        IEnumerable<string> Files(int tile) => Enumerable.Range(0, faults.Count).Select(k => (k == 0 ? "" : $"again-{k}/") + bench.Truth.Tiles[tile].File);
        return (bench, plan with { Tiles = [.. plan.Tiles.Select((tile, i) => tile with { Files = [.. Files(i)] })] });
    }

    private static CameraFaults Nudged(int seed) => new() { Seed = seed, PositionSdMm = 0.03, PositionMaxMm = 0.05, ReadNoise = 0.01, FullWell = 20_000, ExposureStops = -0.3 };

    private static double Psnr(MergeBench bench, MergeResult result) => bench.Psnr(result, PoseError.Of(result.Mosaic, bench.Truth).Common);

    // A dark thing in one frame.
    private static void Walk(string file, int x) => SmallTake.Change(file, image => image.Mutate(m => m.DrawRect([2000, 2500, 3000], x, 120, 30, 160, fill: true)));

    [Fact]
    public void The_median_of_three_shows_nobody_who_walked_through()
    {
        (MergeBench bench, PlanDocument plan) = Shoot([Nudged(1), Nudged(2), Nudged(3)]);
        using (bench)
        {
            for (int k = 0; k < 3; k++)
                Walk(Path.Combine(bench.Frames, plan.Tiles[0].Files![k]), 100 + 150 * k);
            MergeResult result = bench.Merge(request => request with { Plan = plan });
            SeriesPart series = result.Mosaic.Tiles[0].Series!;
            Assert.Equal("median", series.Rule);
            Assert.Equal(plan.Tiles[0].Files!.Count, series.Frames.Count);
            Assert.All(series.Frames.Skip(1), frame => Assert.InRange(frame.ShiftPx, 0.05, 3));
            Assert.InRange(PoseError.Of(result.Mosaic, bench.Truth).Rms, 0, 0.05);
            double median = Psnr(bench, result);

            MergeResult averaged = bench.Merge(request => request with { Plan = plan, Series = SeriesRule.Mean });
            Assert.Equal("mean", averaged.Mosaic.Tiles[0].Series!.Rule);
            double mean = Psnr(bench, averaged);
            output.WriteLine($"median {median:0.00} dB, mean {mean:0.00} dB");
            Assert.True(median > mean + 3);
        }
    }

    /// <summary>The plain median of three with somebody in one of them is the higher or lower of two: off by 0.56 of the noise.</summary>
    [Theory]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Somebody_in_one_frame_does_not_pull_the_median(int count)
    {
        const int Times = 20_000;
        var random = new Random(count);
        (double pulled, double spread, double plain) = (0, 0, 0);
        var values = new float[count];
        for (int i = 0; i < Times; i++)
        {
            for (int k = 0; k < count; k++)
                values[k] = (float)(Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble()));
            float[] sorted = [.. values.Order()];
            float middle = (sorted[(count - 1) / 2] + sorted[count / 2]) / 2, got = SeriesCombiner.Median((float[])values.Clone());
            (spread, plain) = (spread + got * got, plain + middle * middle);
            values[i % count] = i % 3 == 0 ? -60 : 60;
            // As often above as below would hide a pull.
            pulled += SeriesCombiner.Median(values) * (i % 3 == 0 ? -1 : 1) / Times;
        }
        output.WriteLine($"{count} frames: pulled by {pulled:0.000} of the noise; spread {Math.Sqrt(spread / Times):0.000}, plain median {Math.Sqrt(plain / Times):0.000}");
        Assert.InRange(pulled, -0.1, 0.1);
        Assert.InRange(spread / plain, 0.97, 1.03);
    }

    [Fact]
    public void The_mean_of_four_halves_the_noise()
    {
        (MergeBench bench, PlanDocument plan) = Shoot([Nudged(1), Nudged(2), Nudged(3), Nudged(4)]);
        using (bench)
        {
            double before = Psnr(bench, bench.Merge()), after = Psnr(bench, bench.Merge(request => request with { Plan = plan, Series = SeriesRule.Mean }));
            output.WriteLine($"one {before:0.00} dB, four {after:0.00} dB");
            // 10 log10 4 = 6.02 dB less noise; three of the four frames lose a little more by resampling.
            Assert.InRange(after - before, 4.5, 7.5);
        }
    }

    [Fact]
    public void Brackets_bring_what_is_clipped_in_one_frame_from_the_other()
    {
        CameraFaults dark = Nudged(1) with { ExposureStops = -2.5, ReadNoise = 0.004 }, light = Nudged(2) with { ExposureStops = 0.8, ReadNoise = 0.004 };
        (MergeBench bench, PlanDocument plan) = Shoot([dark, light]);
        using (bench)
        {
            double before = Psnr(bench, bench.Merge());
            MergeResult result = bench.Merge(request => request with { Plan = plan });
            SeriesPart series = result.Mosaic.Tiles[0].Series!;
            Assert.Equal("brackets", series.Rule);
            Assert.InRange(series.Frames[1].Stops - series.Frames[0].Stops, 3.2, 3.4);
            double after = Psnr(bench, result);
            output.WriteLine($"darkest alone {before:0.00} dB, brackets {after:0.00} dB");
            Assert.True(after > before + 3);
        }
    }

    [Fact]
    public void Frames_of_a_series_must_have_one_size()
    {
        (MergeBench bench, PlanDocument plan) = Shoot([Nudged(1), Nudged(2)]);
        using (bench)
        {
            SmallTake.Change(Path.Combine(bench.Frames, plan.Tiles[1].Files![1]), image => image.Crop(0, 0, 500, 400));
            Sdk.InputException e = Assert.Throws<Sdk.InputException>(() => bench.Merge(request => request with { Plan = plan }));
            Assert.Contains("t01", e.Message);
            Assert.False(Directory.Exists(bench.Output));
        }
    }
}
