using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>
/// Gains, shading and glare against the simulated camera's own, every frame at its true place: the picture with what was found against the picture
/// with what is true.
/// </summary>
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
        PositionSdMm = 0.2,
        PositionMaxMm = 0.4,
        RotationSdDeg = 0.15,
        RotationMaxDeg = 0.4,
        ReadNoise = 0.001,
        FullWell = 40_000,
        ExposureStops = -0.7,
    };

    /// <summary>Measured: loss 0.000 to 0.031 dB, gains within 0.0002 stops without shading and 0.002 with it.</summary>
    [Theory]
    [InlineData("mountain", 0.33, 0, 4)]
    [InlineData("mountain", 0.33, 0.5, 4)]
    [InlineData("meadow", 0.33, 0, 4)]
    [InlineData("meadow", 0.33, 0.5, 5)]
    public void Drift_and_shading_cost_less_than_a_twentieth_of_a_decibel(string picture, double drift, double shading, int seed)
    {
        using var bench = new LightBench(Scene(picture), Six, Faults with { Seed = seed, GainSdStops = drift, GainColourSdStops = drift / 3, ShadingStops = shading });
        Evened evened = bench.Solve();
        Judge(bench, evened, shading > 0 ? 0.004 : 0.0006);
        Assert.Equal(shading > 0, evened.Fit.Shading is not null);
        Assert.Null(evened.Fit.Glare);
    }

    /// <summary>The picture would lose 3 to 5 dB by it; what is taken off is within a fifth of what was added, mostly a twentieth.</summary>
    [Theory]
    [InlineData("mountain", 0.01, 0, 4)]
    [InlineData("mountain", 0.01, 0.5, 4)]
    [InlineData("meadow", 0.003, 0.5, 4)]
    public void Veiling_glare_in_the_outer_tiles_is_taken_off(string picture, double part, double shading, int seed)
    {
        const double MeanLight = 0.2;
        bool Outer(TruthTilePart tile) => !tile.Id.EndsWith("c0.7", StringComparison.Ordinal);
        using var bench = new LightBench(Scene(picture), Six, Faults with { Seed = seed, GainSdStops = 0.33, GainColourSdStops = 0.1, ShadingStops = shading },
            LightBench.Veil(part, MeanLight, Outer));
        Evened evened = bench.Solve();
        double before = bench.Render(bench.TrueEvenings()).Psnr;
        IReadOnlyList<IReadOnlyList<double>> glare = Assert.IsType<IReadOnlyList<IReadOnlyList<double>>>(evened.Glare, exactMatch: false);
        LightResult got = bench.Render(bench.Evenings(evened)), clean = bench.Render(bench.TrueEvenings(part * MeanLight, Outer));
        output.WriteLine($"F {evened.Fit.ShadingF:0} {evened.Fit.GlareF:0}; {got.Psnr:0.000} dB (true {clean.Psnr:0.000}, glare left {before:0.000}), seam {got.WorstSeam:0.000} ({clean.WorstSeam:0.000})");
        for (int i = 0; i < glare.Count; i++)
        {
            double want = Outer(bench.Truth.Tiles[i]) ? part * MeanLight : 0;
            for (int band = 0; band < 3; band++)
                Assert.InRange(glare[i][band] * bench.Truth.Tiles[i].Gain[band] - want, -0.0004, 0.0004);
        }
        Assert.True(got.Psnr > clean.Psnr - 0.1);
        Assert.True(got.Psnr > before + 0.5);
        Assert.InRange(got.WorstSeam, 0, clean.WorstSeam + 0.05);
    }

    /// <summary>A ramp of colour over the sensor shows once a frame is turned, or if exposures are known to be equal; else it stays, as it must.</summary>
    [Theory]
    [InlineData(true, false)]
    [InlineData(false, true)]
    [InlineData(false, false)]
    public void A_ramp_over_the_sensor_is_found_where_it_can_be_seen(bool turned, bool sameExposure)
    {
        PlanDocument plan = turned ? Six with { Tiles = [.. Six.Tiles.Select((tile, i) => i < 3 ? tile : tile with { TurnDeg = 180, BackTurned = true })] } : Six;
        using var bench = new LightBench(Scene("mountain"), plan, Faults with { Seed = 4, GainSdStops = sameExposure ? 0 : 0.33, ShadingStops = 0.4, CastSdStops = 0.05 });
        Evened evened = bench.Solve(sameExposure);
        if (turned || sameExposure)
        {
            Judge(bench, evened, 0.01);
            return;
        }
        Assert.All(evened.Fit.Shading!.Coefficients, band => Assert.All(band.Take(2), linear => Assert.InRange(linear, -0.005, 0.005)));
        Assert.InRange(bench.Render(bench.TrueEvenings()).Psnr - bench.Render(bench.Evenings(evened)).Psnr, 1, 15);
    }

    [Fact]
    public void Something_large_that_moved_through_half_of_the_frames_changes_no_gain()
    {
        int number = 0;
        using var bench = new LightBench(Scene("mountain"), Six, Faults with { Seed = 6, GainSdStops = 0.2 },
            (tile, path) => LightBench.Paint(path, number++ % 2 == 0 ? [(40, 100, 180, 330, 9000), (700, 500, 330, 150, 52000)] : []));
        Evened evened = bench.Solve();
        (double worst, double rms) = bench.GainError(evened);
        output.WriteLine($"{worst:0.0000} stops, rms {rms:0.0000}");
        Assert.InRange(worst, 0, 0.001);
        Assert.Null(evened.Fit.Shading);
        Assert.Null(evened.Fit.Glare);
    }

    private void Judge(LightBench bench, Evened evened, double gainStops)
    {
        (double worst, double rms) = bench.GainError(evened);
        // Joined hard, so that no blending hides a step.
        LightResult got = bench.Render(bench.Evenings(evened)), truth = bench.Render(bench.TrueEvenings());
        output.WriteLine($"gain error {worst:0.0000}, rms {rms:0.0000} stops, F {evened.Fit.ShadingF:0}; {got.Psnr:0.000} dB (true {truth.Psnr:0.000}), seam {got.WorstSeam:0.000} ({truth.WorstSeam:0.000})");
        Assert.InRange(worst, 0, gainStops);
        Assert.True(got.Psnr > truth.Psnr - 0.05);
        Assert.InRange(got.WorstSeam, 0, truth.WorstSeam + 0.05);
    }

    private static PhotographScene Scene(string picture) => PhotographScene.Load(picture == "mountain" ? TestData.Mountain : TestData.Meadow);
}
