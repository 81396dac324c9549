using System.Numerics;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>What happens in the course of a take: light that drifts, glare, people, shake, series.</summary>
public sealed class TakeFaultTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(6, 4, 300, 200);

    private static readonly PlanDocument Plan = Plans.Of(Sensor, 14, 6, Plans.Tile("a", -4, 0), Plans.Tile("b", 0, 0), Plans.Tile("c", 4, 0));

    private static readonly AnalyticScene Grey = new(0.3f, []);

    [Fact]
    public void Drift_grows_evenly_along_the_order_and_its_mean_stays()
    {
        var faults = new CameraFaults { DriftStops = 0.5, DriftColourStops = 0.1 };
        TruthDocument truth = new SimulatedCamera(Grey, Plan, faults).Truth;
        double[][] stops = [.. truth.Tiles.Select(tile => tile.Gain.Select(gain => -Math.Log2(gain)).ToArray())];
        Assert.Equal([-0.275, -0.25, -0.225], stops[0].Select(s => Math.Round(s, 5)));
        Assert.All(stops[1], s => Assert.Equal(0, s, 5));
        Assert.Equal([0.275, 0.25, 0.225], stops[2].Select(s => Math.Round(s, 5)));
        Assert.Equal(0.3 * Math.Pow(2, 0.275), Light(new SimulatedCamera(Grey, Plan, faults), 2, 150, 100)[0], 2e-5);
    }

    [Fact]
    public void Glare_lies_on_the_outer_tiles_as_the_truth_says()
    {
        var scene = new QuarryScene(2, 700, 300);
        var camera = new SimulatedCamera(scene, Plan, new CameraFaults { VeilingGlare = 0.05 });
        var clear = new SimulatedCamera(scene, Plan, new CameraFaults());
        // Of three tiles the nearest two to the axis are b and, of two as near, the earlier.
        Assert.Equal([true, true, false], camera.Truth.Tiles.Select(tile => tile.Glare is null));
        IReadOnlyList<double> glare = camera.Truth.Tiles[2].Glare!;
        for (int channel = 0; channel < 3; channel++)
            Assert.Equal(Light(clear, 2, 120, 80)[channel] + glare[channel], Light(camera, 2, 120, 80)[channel], 3e-5);
        Assert.Equal(Light(clear, 0, 120, 80), Light(camera, 0, 120, 80));

        var whole = new float[700 * 300 * 4];
        scene.Render(new(0, 0, 700, 300), whole);
        double mean = Enumerable.Range(0, 700 * 300).Average(i => whole[4 * i + 1]);
        Assert.InRange(glare[1] / (0.05 * mean), 0.98, 1.02);
    }

    [Fact]
    public void A_walker_hides_the_scene_in_its_own_frame_only_and_within_its_box()
    {
        var walker = new Walker("b", 0, 340, 160, 30, 60, new(0.7f, 0.1f, 0.1f));
        var scene = new QuarryScene(2, 700, 300);
        var camera = new SimulatedCamera(scene, Plan, new CameraFaults { Walkers = [walker] });
        var empty = new SimulatedCamera(scene, Plan, new CameraFaults());
        BoxPart box = Assert.Single(camera.Truth.Tiles[1].Walkers!);
        Assert.Null(camera.Truth.Tiles[0].Walkers);
        Assert.Equal(Frame(empty, 0), Frame(camera, 0));

        (ushort[] with, ushort[] without) = (Frame(camera, 1), Frame(empty, 1));
        TruthTilePart tile = camera.Truth.Tiles[1];
        int changed = 0;
        for (int i = 0; i < 300 * 200; i++)
        {
            if (with.AsSpan(3 * i, 3).SequenceEqual(without.AsSpan(3 * i, 3)))
                continue;
            changed++;
            (double x, double y) = (tile.XPx - 149.5 + i % 300, tile.YPx - 99.5 + i / 300);
            // Interpolation reaches half its taps beyond.
            Assert.InRange(x, box.LeftPx - 8, box.LeftPx + box.WidthPx + 8);
            Assert.InRange(y, box.TopPx - 8, box.TopPx + box.HeightPx + 8);
        }
        Assert.InRange(changed, Math.PI * 15 * 30, (box.WidthPx + 18) * (box.HeightPx + 18));
        // In its middle there is nothing but the walker.
        double[] middle = Light(camera, 1, (int)Math.Round(340 - tile.XPx + 149.5), (int)Math.Round(160 - tile.YPx + 99.5));
        Assert.InRange(middle[0], 0.45, 0.72);
        Assert.InRange(middle[1], 0.05, 0.12);
    }

    [Fact]
    public void Walkers_are_scattered_by_the_seed_and_half_of_them_where_neighbours_look_too()
    {
        IReadOnlyList<Walker> walkers = Walker.Scatter(Plan, 4, [0, 2], each: 6, width: 20, height: 40, exposures: 2);
        Assert.Equal(walkers, Walker.Scatter(Plan, 4, [0, 2], each: 6, width: 20, height: 40, exposures: 2));
        Assert.NotEqual(walkers, Walker.Scatter(Plan, 5, [0, 2], each: 6, width: 20, height: 40, exposures: 2));
        Assert.Equal(24, walkers.Count);
        Assert.Equal(12, walkers.Count(walker => walker is { Tile: "a" }));
        Assert.Equal(12, walkers.Count(walker => walker.Exposure == 1));
        // Tile b spans -3 to 3 mm, canvas columns 200 to 500.
        Assert.True(walkers.Count(walker => walker.X is > 199 and < 501) >= 12);
        Assert.Equal(24, walkers.Select(walker => (walker.X, walker.Y)).Distinct().Count());
    }

    [Fact]
    public void A_shaken_frame_is_the_mean_of_where_it_looked()
    {
        AnalyticScene waves = AnalyticScene.Create(seed: 5, count: 12, shortest: 5, longest: 60);
        PlanDocument plan = Plans.Of(Sensor, 14, 6, Plans.Tile("a", 1, 0.5, 90));
        var camera = new SimulatedCamera(waves, plan, new CameraFaults { ShakenTile = "a", ShakeXPx = 3, ShakeYPx = -1 });
        TruthTilePart truth = camera.Truth.Tiles[0];
        foreach ((int x, int y) in ((int, int)[])[(0, 0), (100, 57), (299, 199)])
        {
            double sum = 0;
            for (int i = 0; i < 1000; i++)
            {
                (double dx, double dy) = (x - 149.5 + 3 * ((i + 0.5) / 1000 - 0.5), y - 99.5 - ((i + 0.5) / 1000 - 0.5));
                // A quarter turn clockwise.
                sum += waves.At(truth.XPx - dy, truth.YPx + dx).G / 1000;
            }
            Assert.Equal(sum, Light(camera, 0, x, y)[1], 1e-3);
        }
        var still = new SimulatedCamera(waves, plan, new CameraFaults());
        Assert.NotEqual(Light(still, 0, 100, 57)[1], Light(camera, 0, 100, 57)[1], 2e-3);
    }

    [Fact]
    public void A_series_has_its_files_moves_exposures_and_walkers()
    {
        using var scratch = new Scratch();
        var scene = new QuarryScene(2, 700, 300);
        var faults = new CameraFaults
        {
            Seed = 6,
            FullWell = 20_000,
            Series = new() { Exposures = 3, JitterSdPx = 0.4, BracketStops = [0, -1, 1] },
            Walkers = [new("b", 1, 340, 160, 30, 60, new(0.7f, 0.1f, 0.1f))],
        };
        var camera = new SimulatedCamera(scene, Plan, faults);
        camera.Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal([.. from number in Enumerable.Range(1, 3) from exposure in Enumerable.Range(1, 3) select $"tile-00{number}-{exposure}.tif", "truth.json"], scratch.Names);
        TruthTilePart tile = camera.Truth.Tiles[1];
        Assert.Equal("tile-002-1.tif", tile.File);
        Assert.Equal(["tile-002-2.tif", "tile-002-3.tif"], tile.More!.Select(more => more.File));
        Assert.Equal([-1.0, 1], tile.More!.Select(more => more.Stops));
        Assert.Null(tile.Walkers);
        Assert.Single(tile.More![0].Walkers!);
        Assert.All(tile.More!, more => Assert.InRange(Math.Abs(more.XPx - tile.XPx), 1e-6, 2));
        Assert.NotEqual(tile.More![0].XPx, tile.More![1].XPx);
        Assert.Equal(1 / 7.5, ImageMetadataReader.ReadMetadata(scratch["tile-001-3.tif"]).OfType<ExifSubIfdDirectory>().Single().GetDouble(ExifDirectoryBase.TagExposureTime), 1e-5);
        var flat = new SimulatedCamera(Grey, Plan, faults with { Walkers = [] });
        // Noise of 20000 electrons at full light: 0.4 % of this light; and of its own in each frame.
        Assert.InRange(Light(flat, 0, 9, 9, exposure: 2).Sum() / Light(flat, 0, 9, 9).Sum(), 1.97, 2.03);
        Assert.InRange(Light(flat, 0, 9, 9, exposure: 1).Sum() / Light(flat, 0, 9, 9).Sum(), 0.49, 0.51);
        flat = new SimulatedCamera(Grey, Plan, faults with { Series = new() { Exposures = 2 }, Walkers = [] });
        Assert.NotEqual(Light(flat, 0, 9, 9), Light(flat, 0, 9, 9, exposure: 1));
    }

    [Fact]
    public void Faults_of_a_take_that_mean_nothing_are_refused()
    {
        CameraFaults[] faults =
        [
            new() { ShakenTile = "z" }, new() { VeilingGlare = -1 }, new() { DriftStops = double.NaN }, new() { Series = new() { Exposures = 0 } },
            new() { Series = new() { Exposures = 2, BracketStops = [1] } }, new() { Stance = new() { TiltXDeg = 50 } },
            new() { Walkers = [new("z", 0, 1, 1, 10, 10, Vector3.One)] }, new() { Walkers = [new("a", 1, 1, 1, 10, 10, Vector3.One)] },
        ];
        foreach (CameraFaults fault in faults)
            Assert.Throws<InputException>(() => new SimulatedCamera(Grey, Plan, fault));
    }

    private static ushort[] Frame(SimulatedCamera camera, int tile)
    {
        var rgb = new ushort[300 * 200 * 3];
        camera.Render(tile, new(0, 0, 300, 200), rgb);
        return rgb;
    }

    private static double[] Light(SimulatedCamera camera, int tile, int x, int y, int exposure = 0)
    {
        var rgb = new ushort[3];
        camera.Render(tile, new(x, y, 1, 1), rgb, exposure);
        return [.. rgb.Select(value => SrgbCurve.Decode(value / 65535.0))];
    }
}
