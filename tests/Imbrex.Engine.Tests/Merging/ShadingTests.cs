using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>Shading fixed to the sensor is found in the overlaps and taken out; what is not there is not invented.</summary>
public sealed class ShadingTests(ITestOutputHelper output)
{
    private static PlanDocument Six => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 1080, HeightPx = 720 },
        Format = new() { WidthMm = 86, HeightMm = 41 },
        Tiles = [.. from row in new[] { -9.6, 10.2 } from column in new[] { -27, 0.7, 26 }
                    select new TilePart { Id = FormattableString.Invariant($"r{row}c{column}"), XMm = column, YMm = row }],
    };

    [Fact]
    public void Half_a_stop_in_the_corners_is_taken_out()
    {
        using var bench = new MergeBench(PhotographScene.Load(TestData.Meadow), Six, new CameraFaults { Seed = 4, ShadingStops = 0.5, FullWell = 40_000, GainSdStops = 0.05, ExposureStops = -0.5 });

        MergeResult result = bench.Merge();

        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        double psnr = bench.Psnr(result, error.Common);
        output.WriteLine($"{error.Rms:0.0000} px, {psnr:0.00} dB, F {result.Mosaic.Shading.FStatistic:0}; {string.Join(" ", result.Mosaic.Shading.G!.Select(c => c.ToString("0.0000")))} gains {string.Join(" ", result.Mosaic.Tiles.Select(t => (t.Gain[1] / bench.Truth.Tiles.Single(x => x.Id == t.Id).Gain[1]).ToString("0.0000")))}");
        Assert.Equal("sensor", result.Mosaic.Shading.Model);
        // At the corner (half diagonal 1) half a stop is lost: 0.3466 in ln of light, to a twentieth of a stop.
        MosaicShadingPart found = result.Mosaic.Shading;
        (double x, double y) = (36 / Math.Sqrt(36 * 36 + 24 * 24), 24 / Math.Sqrt(36 * 36 + 24 * 24));
        Assert.InRange(new SensorShading([found.R!, found.G!, found.B!]).LogAt(1, x, y), -0.3466 - 0.035, -0.3466 + 0.035);
        Assert.True(error.Rms < 0.05);
        Assert.True(psnr > 40);
    }

    [Fact]
    public void Without_shading_none_is_found()
    {
        using var bench = new MergeBench(PhotographScene.Load(TestData.Mountain), Six, new CameraFaults { Seed = 4, FullWell = 40_000, GainSdStops = 0.05, ExposureStops = -0.2 });

        MergeResult result = bench.Merge();

        output.WriteLine($"{bench.Psnr(result, PoseError.Of(result.Mosaic, bench.Truth).Common):0.00} dB");
        Assert.Equal("none", result.Mosaic.Shading.Model);
    }
}
