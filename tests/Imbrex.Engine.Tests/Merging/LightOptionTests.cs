using Imbrex.Engine.Documents;
using Imbrex.Engine.Imaging;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using Imbrex.Engine.Tests.Simulation;
using Imbrex.Sdk;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Falloff, flat fields, equal exposures and highlights, each through a whole merge.</summary>
public sealed class LightOptionTests(ITestOutputHelper output)
{
    private static readonly CameraFaults Shaded = SmallTake.Shaken with { ShadingStops = 0.5, CastSdStops = 0.05, ImageDistanceMm = 60, GainSdStops = 0.2, ExposureStops = -0.9 };

    /// <summary>At 60 mm the corners of the format lose 0.9 stops.</summary>
    [Fact]
    public void Falloff_of_the_lens_is_kept_or_taken_out_as_asked()
    {
        CameraFaults faults = SmallTake.Shaken with { ImageDistanceMm = 60, ExposureStops = -0.5 };
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), faults);
        MergeResult kept = bench.Merge();
        CommonMotion common = PoseError.Of(kept.Mosaic, bench.Truth).Common;
        double keptPsnr = bench.Psnr(kept, common);
        MergeResult removed = bench.Merge(request => request with { Falloff = FalloffRule.Remove, ImageDistanceMm = 60 });
        CameraFaults none = faults with { ImageDistanceMm = double.PositiveInfinity };
        double removedPsnr = bench.Psnr(removed, common, none);
        output.WriteLine($"kept {keptPsnr:0.00} dB, removed {removedPsnr:0.00} dB, mixed up {bench.Psnr(removed, common):0.00} dB");
        Assert.True(keptPsnr > 44);
        // The corners are raised, and their noise with them.
        Assert.True(removedPsnr > 44);
        Assert.True(bench.Psnr(removed, common) < 30);
        Assert.Equal(("keep", "remove", 60.0), (kept.Mosaic.Options.Falloff, removed.Mosaic.Options.Falloff, removed.Mosaic.Options.ImageDistanceMm));
        Assert.Throws<InputException>(() => bench.Merge(request => request with { Falloff = FalloffRule.Remove }));
    }

    /// <summary>Flat frames of every tile, shot of a grey wall through the same lens: shading, its ramp and the falloff all go.</summary>
    [Fact]
    public void Flat_frames_of_every_tile_take_out_shading_and_falloff()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.MixedTurns(), Shaded);
        IReadOnlyDictionary<string, string> flats = FlatMatching.Match(bench.Plan, Flats(bench.Plan, bench.Frames, Shaded));
        MergeResult result = bench.Merge(request => request with { Flats = flats });
        CameraFaults none = Shaded with { ImageDistanceMm = double.PositiveInfinity };
        double left = Spread(bench, result, none);
        MergeResult plain = bench.Merge();
        double before = Spread(bench, plain, none);
        output.WriteLine($"light differs from the scene's by {left:0.0000} stops (sd), without flat frames {before:0.0000}");
        Assert.InRange(left, 0, 0.005);
        Assert.True(before > 0.1);
        Assert.Equal("none", result.Mosaic.Shading.Model);
        Assert.Equal(4, result.Mosaic.Options.Flats!.Count);
    }

    [Fact]
    public void One_flat_frame_for_all_takes_out_the_shading_and_the_mosaic_suffices_to_make_it_again()
    {
        CameraFaults faults = Shaded with { ImageDistanceMm = double.PositiveInfinity };
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), faults);
        string flat = Path.Combine(Flats(SmallTake.Grid(1, 1), bench.Frames, faults), "frame-001.tif");
        MergeResult result = bench.Merge(request => request with { Flats = FlatMatching.Match(bench.Plan, flat) });
        double left = Spread(bench, result, faults);
        output.WriteLine($"light differs from the scene's by {left:0.0000} stops (sd)");
        Assert.InRange(left, 0, 0.005);
        Assert.Null(Assert.Single(result.Mosaic.Options.Flats!).Tile);
        string first = FileHash.Of(result.MasterFile, TestContext.Current.CancellationToken);
        MergeResult again = MergeBench.Run(Remake.Of(result.MosaicFile, bench.Output) with { Force = true, Workers = 1 });
        Assert.Equal(first, FileHash.Of(again.MasterFile, TestContext.Current.CancellationToken));
        File.Delete(flat);
        Assert.Contains("flat frame", Assert.Throws<InputException>(() => Remake.Of(result.MosaicFile, bench.Output)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(false, "frame-002.tif frame-003.tif")]
    [InlineData(true, "frame-001.tif frame-002.tif")]
    public void Tiles_that_are_left_out_want_no_flat_frame(bool withoutIt, string expected)
    {
        using var scratch = new Scratch();
        PlanDocument plan = SmallTake.Grid(3, 1);
        foreach (int i in Enumerable.Range(1, withoutIt ? 2 : 3))
            File.WriteAllBytes(scratch[$"frame-00{i}.tif"], []);
        IReadOnlyDictionary<string, string> flats = FlatMatching.Match(plan, scratch.Folder, [plan.Tiles[0].Id]);
        Assert.Equal(expected, string.Join(' ', plan.Tiles.Skip(1).Select(tile => Path.GetFileName(flats[tile.Id]))));
        Assert.Equal(2, flats.Count);
        if (withoutIt)
        {
            var wrong = Assert.Throws<InputException>(() => FlatMatching.Match(plan, scratch.Folder, [plan.Tiles[0].Id, plan.Tiles[1].Id]));
            Assert.Contains("2 pictures; of the plan's 3 tiles 1 are used", wrong.Message, StringComparison.Ordinal);
        }
    }

    /// <summary>The formula's own example (reference sheet 3.2): I 1000, D 64, F 1500, mean of F - D 2000 gives 1303.62.</summary>
    [Fact]
    public void The_formula_gives_the_handbook_example()
    {
        var flat = new Engine.Photometry.SensorGrid([[1500, 2628], [2064, 2064], [2064, 2064]], 2, 1, 64, 128, 64);
        var dark = flat with { Values = [[64, 64], [64, 64], [64, 64]] };
        double factor = Engine.Photometry.FlatField.Factor(flat, dark, "flat").At(0, -32, 0);
        Assert.Equal(1303.62, (1000 - 64) * factor, 0.005);
    }

    [Fact]
    public void Flat_frames_that_cannot_be_used_are_named()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(2, 1), SmallTake.Shaken);
        using var scratch = new Scratch();
        string Flat(string name, int width, ushort left, ushort right)
        {
            var samples = new ushort[width * 400 * 3];
            for (int i = 0; i < samples.Length; i++)
                samples[i] = i / 3 % width < 80 ? left : right;
            using var file = new TiffWriter(scratch[name], new Sdk.Exports.TiffPicture { Width = width, Height = 400, Bands = 3 });
            file.Write(0, 0, width, 400, samples);
            file.Complete();
            return scratch[name];
        }
        string Message(string flat, string? dark = null) => Assert.Throws<InputException>(() => bench.Merge(request => request with
        {
            Flats = new Dictionary<string, string> { [""] = flat },
            Dark = dark,
        })) is var e && e.Where == (dark is null ? flat : e.Where) ? e.Message : "another file";
        Assert.Contains("590 x 400", Message(Flat("narrow.tif", 590, 30000, 30000)), StringComparison.Ordinal);
        Assert.Contains("clipped near column 0", Message(Flat("clipped.tif", 600, 65535, 30000)), StringComparison.Ordinal);
        Assert.Contains("no light near column 0", Message(Flat("dead.tif", 600, 10, 40000)), StringComparison.Ordinal);
        Assert.Contains("no light", Message(Flat("even.tif", 600, 30000, 30000), Flat("dark.tif", 600, 30000, 30000)), StringComparison.Ordinal);
        Assert.Contains("600 x 400", Message(Flat("good.tif", 600, 30000, 30000), Flat("narrow-dark.tif", 500, 30, 30)), StringComparison.Ordinal);
        Assert.False(Directory.Exists(bench.Output));
        Assert.Throws<InputException>(() => FlatMatching.Match(bench.Plan, scratch["none"]));
        Assert.Contains("7 pictures", Assert.Throws<InputException>(() => FlatMatching.Match(bench.Plan, scratch.Folder)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Equal_exposures_stay_as_they_are()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { CastSdStops = 0.1, ExposureStops = -0.6 });
        MergeResult result = bench.Merge(request => request with { SameExposure = true });
        Assert.All(result.Mosaic.Tiles, tile => Assert.Equal([1.0, 1, 1], tile.Gain));
        Assert.True(result.Mosaic.Options.SameExposure);
        for (int band = 0; band < 3; band++)
        {
            IReadOnlyList<double> found = new[] { result.Mosaic.Shading.R!, result.Mosaic.Shading.G!, result.Mosaic.Shading.B! }[band];
            Assert.Equal(bench.Truth.Shading.Across[band], found[0], 0.01);
            Assert.Equal(bench.Truth.Shading.Down[band], found[1], 0.01);
        }
    }

    /// <summary>A drift that raises bright parts above white: none is clipped by it, and the mosaic says how.</summary>
    [Fact]
    public void Highlights_above_white_are_compressed_and_told()
    {
        using var bench = new MergeBench(SmallTake.Photograph, SmallTake.Grid(3, 2), SmallTake.Shaken with { Seed = 9, GainSdStops = 0.4, ExposureStops = 0.4 });
        MergeResult result = bench.Merge();
        MosaicHighlightsPart highlights = Assert.IsType<MosaicHighlightsPart>(result.Mosaic.Highlights);
        output.WriteLine($"knee {highlights.Knee:0.000}, top {highlights.Top:0.000}, lifted {string.Join(" ", highlights.Lifted ?? [])}");
        Assert.InRange(highlights.Top, 1.05, 2.5);
        Assert.Contains(result.Mosaic.Findings, finding => finding.Kind == "highlights");
        // White is not reached but where some frame was clipped itself, or next to it.
        double White(string path, int from) => SmallTake.Pixels(path, out _, out _) is var codes ? codes.Count(code => code >= from) / (double)codes.Length : 0;
        double white = White(result.MasterFile, 65535), own = bench.Truth.Tiles.Average(tile => White(Path.Combine(bench.Frames, tile.File), 63_900));
        output.WriteLine($"white {white:0.00000}, of their own {own:0.00000}");
        Assert.InRange(white, 0, own);
    }

    // The same camera before a grey wall: the shading and falloff of the take, fresh noise, other exposures.
    private static string Flats(PlanDocument plan, string beside, CameraFaults faults)
    {
        string folder = Path.Combine(beside, "..", "flats");
        // Gains and casts are drawn from the seed, and the cast must be the same one; a wall shows neither positions nor exposures.
        new SimulatedCamera(new AnalyticScene(0.5f, []), plan, faults with { ExposureStops = 0, GainSdStops = 0 }).Shoot(folder);
        return folder;
    }

    // How the light of the master differs from the scene's without falloff, once the common exposure is taken out: standard deviation over a grid, stops.
    private static double Spread(MergeBench bench, MergeResult result, CameraFaults wanted) => bench.LightSpread(result, PoseError.Of(result.Mosaic, bench.Truth).Common, wanted);
}
