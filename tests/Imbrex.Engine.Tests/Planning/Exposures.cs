using CsCheck;
using Imbrex.Engine.Documents;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Planning;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>How long to expose for what moves.</summary>
public sealed class Exposures
{
    private static readonly MoverPart Walkers = LensCatalogue.Movers.Single(mover => mover.Name == "walkers");

    [Fact]
    public void Walkers_are_gone_after_18_s_which_takes_seven_stops_from_an_eighth_of_a_second()
    {
        ExposurePart exposure = Judge(new() { Seconds = 0.125, Movers = [Walkers with { DistanceMm = 20_000, PerMinute = 6 }] }).Exposure!;
        MoverTimePart walkers = Assert.Single(exposure.Movers);
        double gone = 500 / 1400.0 / 0.02;
        Assert.Equal(gone, walkers.VanishSeconds!.Value, 1e-9);
        Assert.Equal(Math.Log2(gone / 0.125), walkers.NeutralDensityStops!.Value, 1e-9);

        // 1400 mm/s at 20 m through 150 mm on pixels of 6 um.
        Assert.Equal(1400 * 150 / 20_000.0 / 0.006, walkers.ImageSpeedPxPerS!.Value, 1e-6);
        Assert.Equal(1, walkers.ImageSpeedPxPerS.Value * walkers.FreezeSeconds!.Value, 1e-9);
        Assert.Equal(gone, exposure.FrameSeconds);
        Assert.True(exposure.TakeSeconds > 6 * gone);
        Assert.Equal(exposure.TakeSeconds / 240, exposure.SunDeg, 1e-9);

        // Six a minute, each for 0.36 s: a point is covered 3.6 % of the time; the chance that two of three are is 0.0037, that three of five are 0.0004.
        Assert.Equal(5, walkers.MedianFrames);
        Assert.Equal(5, exposure.MedianFrames);
    }

    [Fact]
    public void A_long_exposure_as_it_is_needs_no_filter() =>
        Assert.Equal(0, Judge(new() { Seconds = 60, Movers = [Walkers] }).Exposure!.Movers[0].NeutralDensityStops);

    [Fact]
    public void What_sways_never_vanishes_and_is_warned_of()
    {
        VerdictDocument verdict = Judge(new() { Seconds = 1, Movers = [LensCatalogue.Movers.Single(mover => mover.Sways is true)] });
        Assert.Null(verdict.Exposure!.Movers[0].VanishSeconds);
        Assert.Contains(verdict.Warnings!, warning => warning.Rule == "exposure" && warning.Text.Contains("never makes them vanish", StringComparison.Ordinal));
    }

    [Fact]
    public void Without_a_word_on_exposure_there_is_no_report() => Assert.Null(Judge(new() { Aperture = 22 }).Exposure);

    [Fact]
    public void What_is_missing_for_the_exposure_is_named()
    {
        string[] fields = [.. Judge(new() { Movers = [Walkers] }).Missing!.SelectMany(missing => missing.Fields)];
        Assert.Contains("picture.seconds", fields);
        Assert.Contains("picture.movers.perMinute", fields);
        Assert.Contains("picture.focusDistanceMm", fields);
    }

    // The binomial tail against drawing frames at random.
    [Fact]
    public void The_risk_of_a_median_is_what_drawing_shows()
    {
        var random = new Random(5);
        int wrong = 0;
        const int Draws = 200_000;
        for (int i = 0; i < Draws; i++)
            wrong += Enumerable.Range(0, 5).Count(_ => random.NextDouble() < 0.2) >= 3 ? 1 : 0;
        double risk = ExposureTimes.MajorityCovered(5, 0.2);
        Assert.Equal(risk, wrong / (double)Draws, 4 * Math.Sqrt(risk / Draws));
    }

    [Fact]
    public void The_fewest_frames_are_fewest() => Gen.Select(Gen.Double[0, 0.4], Gen.Double[0.0005, 0.1]).Sample((covered, risk) =>
    {
        if (ExposureTimes.MedianFrames(covered, risk) is not { } frames)
        {
            Assert.True(ExposureTimes.MajorityCovered(ExposureTimes.MostFrames, covered) > risk);
            return;
        }
        Assert.Equal(1, frames % 2);
        Assert.True(ExposureTimes.MajorityCovered(frames, covered) <= risk);
        Assert.True(frames == 1 || ExposureTimes.MajorityCovered(frames - 2, covered) > risk);
    });

    // At the altitude that is told, the light on level ground falls by exactly a third of a stop; higher up by less.
    [Fact]
    public void The_low_sun_is_where_its_light_falls_by_a_third_of_a_stop() => Gen.Double[0.2, 20].Sample(path =>
    {
        double low = ExposureTimes.LowSun(path);
        Assert.Equal(-1.0 / 3, Math.Log2(Sin(low - path) / Sin(low)), 1e-9);
        Assert.True(Math.Log2(Sin(Math.Min(90, low + 5) - path) / Sin(Math.Min(90, low + 5))) > -1.0 / 3);
    });

    private static double Sin(double degrees) => Math.Sin(degrees * Math.PI / 180);

    private static VerdictDocument Judge(PicturePart picture)
    {
        KitDocument kit = Kits.Rail() with { Lens = new() { FocalLengthMm = 150 } };
        PlanResult result = Planner.Plan(kit.Plan(new(88, 42), 3, ("columns", "3"), ("rows", "2"), ("step-x", "27"), ("step-y", "20")) with { Picture = picture });
        return result.Verdict;
    }
}
