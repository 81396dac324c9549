using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;

using Xunit;

namespace Imbrex.Engine.Tests.Merging;

public sealed class MergeTests(ITestOutputHelper output)
{
    // Six level tiles of a small sensor at 100 px/mm, with the overlap that 0.3 mm of position error and a quarter of a degree leave whole.
    private static PlanDocument SixTiles() => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = new() { WidthMm = 18, HeightMm = 12, WidthPx = 1800, HeightPx = 1200 },
        Format = new() { WidthMm = 44, HeightMm = 19.6 },
        Tiles = [.. from row in new[] { -4.25, 4.25 } from column in new[] { -13.5, 0, 13.5 }
                    select new TilePart { Id = $"r{row}c{column}", XMm = column, YMm = row }],
    };

    [Fact]
    public void Six_tiles_of_a_photograph_are_placed_within_a_tenth_of_a_pixel()
    {
        using var bench = new MergeBench(PhotographScene.Load(TestData.Mountain), SixTiles(), new CameraFaults
        {
            Seed = 3,
            PositionSdMm = 0.15,
            PositionMaxMm = 0.3,
            RotationSdDeg = 0.1,
            RotationMaxDeg = 0.25,
            ReadNoise = 0.002,
            FullWell = 40_000,
            GainSdStops = 0.08,
            ExposureStops = -0.3,
        });

        MergeResult result = bench.Merge();

        PoseError error = PoseError.Of(result.Mosaic, bench.Truth);
        double psnr = bench.Psnr(result, error.Common);
        output.WriteLine($"RMS {error.Rms:0.0000} px, largest {error.Largest:0.0000} px, {psnr:0.00} dB");
        foreach (StageTime stage in result.Stages)
            output.WriteLine($"{stage.Stage}: {stage.Seconds:0.00} s");
        foreach (PairPart pair in result.Mosaic.Pairs)
            output.WriteLine($"{pair.A} {pair.B}: {pair.Used}/{pair.Measured}, {pair.ResidualPx:0.0000} px");
        foreach (MosaicTilePart tile in result.Mosaic.Tiles)
            output.WriteLine($"{tile.Id}: sigma {tile.SigmaPx:0.0000} px, {tile.SigmaDeg:0.00000} deg, gain {string.Join(" ", tile.Gain.Select(g => g.ToString("0.0000")))}");
        Assert.True(error.Rms <= 0.1);
        Assert.True(psnr >= 40);
    }
}
