using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Planning;

/// <summary>A mount that slides and is clamped: the least depth that lets the camera focus, by the formula of the reference sheet, 1.8.</summary>
public sealed class SlidingMounts
{
    // Board to film = flange focal length 142 - (depth + register 18 - film depth 4.83) = 128.83 - depth.
    [Theory]
    [InlineData(320, 9, 119.83, true)]
    [InlineData(110, 18.83, 110, true)]
    [InlineData(90, 32, 96.83, false)]
    public void It_is_clamped_at_the_least_depth_that_focuses(double longest, double depth, double needed, bool reaches)
    {
        VerdictDocument verdict = Judge(longest);
        Assert.Equal(depth, verdict.MountDepthMm!.Value, 1e-9);
        Assert.Equal(needed, verdict.Focus!.NeededMm, 1e-9);
        Assert.Equal(reaches, verdict.Focus.Reaches);
        Assert.Equal(depth + 18 - 4.83, verdict.Focus.CloseAfterGlassMm, 1e-9);
    }

    [Fact]
    public void A_depth_that_the_picture_gives_is_kept()
    {
        VerdictDocument verdict = Judge(320, new() { MountDepthMm = 20 });
        Assert.Equal(20, verdict.MountDepthMm);
        Assert.Equal(108.83, verdict.Focus!.NeededMm, 1e-9);
    }

    [Fact]
    public void The_plan_remembers_the_depth_with_the_picture()
    {
        KitDocument kit = Kit(320);
        PlanResult result = Planner.Plan(new() { Kit = kit, Back = kit.Build(), Layout = new Kits.Fixed(new Tile(default)), Format = new(20, 20) });
        Assert.Equal(9, result.Plan!.Picture!.MountDepthMm);
        Assert.Equal(9, AcceptanceCheck.Judge(CheckRequest.For(result.Plan, kit.Build().Back)).MountDepthMm);
    }

    private static VerdictDocument Judge(double longest, PicturePart? picture = null)
    {
        KitDocument kit = Kit(longest);
        return AcceptanceCheck.Judge(new()
        {
            Kit = kit,
            Back = kit.Build().Back,
            Picture = picture,
            Sensor = new(36, 24),
            Format = new(20, 20),
            Overlap = 1,
            Tiles = [new("t1", default)],
        });
    }

    private static KitDocument Kit(double longest) => Kits.Parse(FormattableString.Invariant($$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 6000, "heightPx": 4000, "registerMm": 18 },
          "back": { "adapter": "rail", "angularToleranceDeg": 0, "datumToMountMm": [9, 32], "axes": [ { "minMm": -40, "maxMm": 40, "toleranceMm": 0 } ] },
          "lens": { "focalLengthMm": 150, "flangeFocalMm": 142 },
          "camera": { "boardToFilmMinMm": 70, "boardToFilmMaxMm": {{longest}}, "filmDepthMm": 4.83 } }
        """));
}
