using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Gains and shading against the simulated camera's, with everything else true.</summary>
public sealed class LightTests(ITestOutputHelper output)
{
    private static PlanDocument Six => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = new() { WidthMm = 36, HeightMm = 24, WidthPx = 1080, HeightPx = 720 },
        Format = new() { WidthMm = 86, HeightMm = 41 },
        Tiles = [.. from row in new[] { -9.6, 10.2 } from column in new[] { -27, 0.7, 26 }
                    select new TilePart { Id = FormattableString.Invariant($"r{row}c{column}"), XMm = column, YMm = row }],
    };

    private static CameraFaults Faults => new()
    {
        Seed = 4, PositionSdMm = 0.2, PositionMaxMm = 0.4, RotationSdDeg = 0.15, RotationMaxDeg = 0.4, ReadNoise = 0.001, FullWell = 40_000, ExposureStops = -0.7,
    };

    [Theory]
    [InlineData("mountain", 0, 0, 4)]
    [InlineData("mountain", 0.33, 0, 4)]
    [InlineData("mountain", 0.33, 0.5, 4)]
    [InlineData("mountain", 0.33, 0.5, 5)]
    [InlineData("meadow", 0.33, 0, 4)]
    [InlineData("meadow", 0.33, 0.5, 4)]
    [InlineData("meadow", 0.33, 0.5, 5)]
    public void Drift_and_shading_cost_less_than_a_tenth_of_a_decibel(string picture, double drift, double shading, int seed)
    {
        IScene scene = picture == "mountain" ? PhotographScene.Load(TestData.Mountain) : PhotographScene.Load(TestData.Meadow);
        using var bench = new LightBench(scene, Six, Faults with { Seed = seed, GainSdStops = drift, GainColourSdStops = drift / 3, ShadingStops = shading });
        Evened evened = bench.Solve();
        (double worst, double rms) = bench.GainError(evened);
        LightResult got = bench.Render(bench.Evenings(evened)), hard = bench.Render(bench.Evenings(evened), 0);
        LightResult truth = bench.Render(bench.TrueEvenings()), hardTruth = bench.Render(bench.TrueEvenings(), 0);
        output.WriteLine($"gain error {worst:0.0000}, rms {rms:0.0000} stops, F {evened.Fit.ShadingF:0} {evened.Fit.GlareF:0}; {got.Psnr:0.000} dB (true {truth.Psnr:0.000}, loss {truth.Psnr - got.Psnr:0.000}), seam {got.WorstSeam:0.000} ({truth.WorstSeam:0.000}); not blended {hard.WorstSeam:0.000} ({hardTruth.WorstSeam:0.000})");
    }
}
