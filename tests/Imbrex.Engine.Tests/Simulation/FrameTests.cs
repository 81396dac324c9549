using BitMiracle.LibTiff.Classic;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk;
using MetadataExtractor;
using MetadataExtractor.Formats.Exif;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>The files of the simulated camera, read back by other people's libraries, and the faults in them.</summary>
public sealed class FrameTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(6, 4, 300, 200);

    private static readonly PlanDocument Plan = Plans.Of(Sensor, 10, 6, Plans.Tile("a", 2, 1), Plans.Tile("b", -2, 1, 90), Plans.Tile("c", 0, -1, 180));

    private static readonly CameraFaults Everything = new()
    {
        Seed = 9,
        PositionSdMm = 0.05,
        RotationSdDeg = 0.2,
        ImageDistanceMm = 20,
        ShadingStops = 0.3,
        CastSdStops = 0.05,
        GainSdStops = 0.1,
        GainColourSdStops = 0.02,
        ExposureStops = -0.5,
        ReadNoise = 5e-4,
        FullWell = 30000,
        DefocusedTile = "b",
        Orientation = FileOrientation.Tagged,
    };

    [Fact]
    public void Frames_carry_what_a_camera_writes()
    {
        using var scratch = new Scratch();
        new SimulatedCamera(new QuarryScene(2, 500, 300), Plan, Everything).Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(["frame-001.tif", "frame-002.tif", "frame-003.tif", "truth.json"], scratch.Names);

        MetadataExtractor.Directory[] directories = [.. ImageMetadataReader.ReadMetadata(scratch["frame-002.tif"])];
        ExifIfd0Directory main = directories.OfType<ExifIfd0Directory>().Single();
        ExifSubIfdDirectory exif = directories.OfType<ExifSubIfdDirectory>().Single();
        Assert.Equal(6, main.GetInt32(ExifDirectoryBase.TagOrientation));
        Assert.Equal("Quarry Shed", main.GetString(ExifDirectoryBase.TagMake));
        Assert.Equal(16, exif.GetDouble(ExifDirectoryBase.TagFNumber), 6);
        Assert.Equal(1 / 15.0, exif.GetDouble(ExifDirectoryBase.TagExposureTime), 5);
        Assert.Equal(100, exif.GetInt32(ExifDirectoryBase.TagIsoEquivalent));
        Assert.Equal(new DateTime(2026, 5, 17, 10, 0, 40), exif.GetDateTime(ExifDirectoryBase.TagDateTimeOriginal));

        using Tiff tiff = Tiff.Open(scratch["frame-003.tif"], "r");
        Assert.Equal(500.0, tiff.GetField(TiffTag.XRESOLUTION)[0].ToDouble(), 3);
        Assert.Equal(16, tiff.GetField(TiffTag.BITSPERSAMPLE)[0].ToInt());
        Assert.Equal((int)Orientation.BOTRIGHT, tiff.GetField(TiffTag.ORIENTATION)[0].ToInt());
        Assert.NotNull(tiff.GetField(TiffTag.ICCPROFILE));
    }

    [Fact]
    public void What_is_stored_is_what_is_rendered_on_any_number_of_threads()
    {
        using var scratch = new Scratch();
        var camera = new SimulatedCamera(new QuarryScene(2, 500, 300), Plan, Everything);
        camera.Shoot(scratch.Folder, workers: 1, cancellation: TestContext.Current.CancellationToken);
        byte[][] once = [.. scratch.Names.Select(name => File.ReadAllBytes(scratch[name]))];
        camera.Shoot(scratch.Folder, force: true, workers: 3, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(once, scratch.Names.Select(name => File.ReadAllBytes(scratch[name])));

        var rendered = new ushort[300 * 200 * 3];
        camera.Render(0, new(0, 0, 300, 200), rendered);
        using Image file = Image.NewFromFile(scratch["frame-001.tif"], failOn: Enums.FailOn.Error);
        Assert.Equal(rendered, file.WriteToMemory<ushort>());
    }

    [Fact]
    public void The_truth_survives_the_file()
    {
        using var scratch = new Scratch();
        var camera = new SimulatedCamera(new QuarryScene(2, 500, 300), Plan, Everything);
        camera.Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken);
        TruthDocument read = JsonDocuments.Read<TruthDocument>(scratch["truth.json"], TruthDocument.SchemaName);
        Assert.Equal(JsonDocuments.ToBytes(camera.Truth), JsonDocuments.ToBytes(read));
        for (int channel = 0; channel < 3; channel++)
            Assert.Equal(0, read.Tiles.Sum(tile => Math.Log(tile.Gain[channel])), 5);
        Assert.Contains(read.Tiles, tile => Math.Abs(tile.Gain[0] - 1) > 0.01);
    }

    [Fact]
    public void Gains_and_shading_are_what_the_truth_says()
    {
        CameraFaults faults = new() { Seed = 5, GainSdStops = 0.2, GainColourSdStops = 0.05, ShadingStops = 0.4, CastSdStops = 0.1 };
        var camera = new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, faults);
        var rgb = new ushort[3];
        ShadingPart shading = camera.Truth.Shading;
        for (int tile = 0; tile < 3; tile++)
        {
            foreach ((int x, int y) in ((int, int)[])[(0, 0), (299, 0), (40, 170), (150, 100)])
            {
                camera.Render(tile, new(x, y, 1, 1), rgb);
                double half = Math.Sqrt(300 * 300 + 200 * 200) / 2, qx = (x - 149.5) / half, qy = (y - 99.5) / half;
                for (int channel = 0; channel < 3; channel++)
                {
                    double shade = 1 - shading.Quadratic[channel] * (qx * qx + qy * qy) + shading.Across[channel] * qx + shading.Down[channel] * qy;
                    Assert.Equal(0.3 * shade, SrgbCurve.Decode(rgb[channel] / 65535.0) * camera.Truth.Tiles[tile].Gain[channel], 2e-5);
                }
            }
        }
    }

    // Reference sheet 1.3: 30 degrees off the axis leave 0.5625 of the light; tan a = 0.75 leaves 0.4096.
    [Theory]
    [InlineData(0.57735026919, 0.5625)]
    [InlineData(0.75, 0.4096)]
    [InlineData(0, 1)]
    public void Falloff_is_the_fourth_power_of_the_cosine_about_the_lens_axis(double tangent, double fraction)
    {
        // The sensor's centre lies between four pixels: one pixel of 300 per 6 mm off is no matter at this image distance.
        PlanDocument plan = Plans.Of(Sensor, 400, 300, Plans.Tile("t", 100 * tangent * 0.6, 100 * tangent * 0.8, 90));
        var camera = new SimulatedCamera(new AnalyticScene(0.8f, []), plan, new CameraFaults { ImageDistanceMm = 100 });
        var rgb = new ushort[3];
        camera.Render(0, new(150, 100, 1, 1), rgb);
        Assert.InRange(SrgbCurve.Decode(rgb[1] / 65535.0) / 0.8, fraction * 0.9995, fraction * 1.0005);
    }

    [Fact]
    public void Noise_has_the_variance_of_read_and_shot_noise_and_no_memory()
    {
        PlanDocument plan = Plans.Of(Plans.Sensor(6, 4, 600, 400), 10, 6, Plans.Tile("a", 0, 0), Plans.Tile("b", 0, 0));
        var camera = new SimulatedCamera(new AnalyticScene(0.4f, []), plan, new CameraFaults { Seed = 1, ReadNoise = 0.004, FullWell = 20000 });
        double[][] light = [.. Enumerable.Range(0, 2).Select(tile => Green(camera, tile))];
        double expected = Math.Sqrt(0.004 * 0.004 + 0.4 / 20000);
        foreach (double[] frame in light)
        {
            double mean = frame.Average(), deviation = Math.Sqrt(frame.Average(v => (v - mean) * (v - mean)));
            // 240000 pixels: the mean is known to 1.3e-5, the deviation to 0.15 %.
            Assert.InRange(mean, 0.4 - 5e-5, 0.4 + 5e-5);
            Assert.InRange(deviation / expected, 0.994, 1.006);
            Assert.InRange(Correlation(frame, frame[1..]), -0.01, 0.01);
            Assert.InRange(Correlation(frame, frame[600..]), -0.01, 0.01);
        }
        Assert.InRange(Correlation(light[0], light[1]), -0.01, 0.01);
    }

    [Fact]
    public void A_defocused_tile_is_soft_and_the_others_are_not()
    {
        var sharp = new SimulatedCamera(new QuarryScene(2, 500, 300), Plan, new CameraFaults());
        var soft = new SimulatedCamera(new QuarryScene(2, 500, 300), Plan, new CameraFaults { DefocusedTile = "a", DefocusPx = 2 });
        double Roughness(SimulatedCamera camera, int tile)
        {
            double[] light = Green(camera, tile, 300, 200);
            return light.Zip(light[1..], (a, b) => (a - b) * (a - b)).Average();
        }
        Assert.True(Roughness(soft, 0) < 0.3 * Roughness(sharp, 0));
        Assert.Equal(Roughness(sharp, 1), Roughness(soft, 1));
    }

    [Theory]
    [InlineData(FileOrientation.Untagged, 1, 1, 1)]
    [InlineData(FileOrientation.Tagged, 1, 6, 3)]
    [InlineData(FileOrientation.Stale, 1, 1, 1)]
    [InlineData(FileOrientation.Baked, 1, 1, 1)]
    public void Tags_lie_as_asked(FileOrientation orientation, params int[] tags)
    {
        using var scratch = new Scratch();
        new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, new CameraFaults { Orientation = orientation }).Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken);
        for (int i = 0; i < 3; i++)
        {
            using Image file = Image.NewFromFile(scratch[$"frame-00{i + 1}.tif"]);
            Assert.Equal(tags[i], Convert.ToInt32(file.Get("orientation")));
            Assert.Equal(orientation == FileOrientation.Baked && i == 1 ? 200 : 300, file.Width);
        }
    }

    [Fact]
    public void Existing_files_are_refused_before_anything_is_written_unless_forced()
    {
        using var scratch = new Scratch();
        File.WriteAllText(scratch["frame-002.tif"], "mine");
        var camera = new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, new CameraFaults());
        Assert.Throws<InputException>(() => camera.Shoot(scratch.Folder, cancellation: TestContext.Current.CancellationToken));
        Assert.Equal(["frame-002.tif"], scratch.Names);
        Assert.Equal("mine", File.ReadAllText(scratch["frame-002.tif"]));
        camera.Shoot(scratch.Folder, force: true, cancellation: TestContext.Current.CancellationToken);
        Assert.Equal(4, scratch.Names.Count());
    }

    [Fact]
    public void A_cancelled_take_leaves_nothing()
    {
        using var scratch = new Scratch();
        using var source = new CancellationTokenSource();
        var camera = new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, new CameraFaults());
        var progress = new Immediate(value =>
        {
            if (value > 0.5)
                source.Cancel();
        });
        Assert.Throws<OperationCanceledException>(() => camera.Shoot(scratch.Folder, progress: progress, cancellation: source.Token));
        Assert.Empty(scratch.Names);
    }

    [Fact]
    public void A_folder_that_cannot_be_made_is_named()
    {
        using var scratch = new Scratch();
        File.WriteAllText(scratch["file"], "");
        var camera = new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, new CameraFaults());
        InputException refusal = Assert.Throws<InputException>(() => camera.Shoot(Path.Combine(scratch["file"], "frames"), cancellation: TestContext.Current.CancellationToken));
        Assert.Contains("file", refusal.Message);
    }

    [Fact]
    public void Faults_that_mean_nothing_are_refused()
    {
        foreach (CameraFaults faults in (CameraFaults[])[new() { PositionSdMm = -1 }, new() { ReadNoise = double.NaN }, new() { FullWell = 0 }, new() { DefocusedTile = "z" }])
            Assert.Throws<InputException>(() => new SimulatedCamera(new AnalyticScene(0.3f, []), Plan, faults));
    }

    private static double[] Green(SimulatedCamera camera, int tile, int width = 600, int height = 400)
    {
        var rgb = new ushort[width * height * 3];
        camera.Render(tile, new(0, 0, width, height), rgb);
        return [.. Enumerable.Range(0, width * height).Select(i => (double)SrgbCurve.Decode16[rgb[3 * i + 1]])];
    }

    private static double Correlation(double[] a, double[] b)
    {
        int n = Math.Min(a.Length, b.Length);
        (double meanA, double meanB) = (a.Take(n).Average(), b.Take(n).Average());
        (double ab, double aa, double bb) = (0, 0, 0);
        for (int i = 0; i < n; i++)
            (ab, aa, bb) = (ab + (a[i] - meanA) * (b[i] - meanB), aa + (a[i] - meanA) * (a[i] - meanA), bb + (b[i] - meanB) * (b[i] - meanB));
        return ab / Math.Sqrt(aa * bb);
    }

    private sealed class Immediate(Action<double> report) : IProgress<StageProgress>
    {
        public void Report(StageProgress value) => report(value.Done);
    }
}
