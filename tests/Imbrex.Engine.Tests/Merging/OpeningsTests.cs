using Imbrex.Engine.Documents;
using Imbrex.Engine.Merging;
using Imbrex.Engine.Optics;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk.Geometry;
using NetVips;
using Xunit;
using static Imbrex.Engine.Tests.Planning.Kits;

namespace Imbrex.Engine.Tests.Merging;

/// <summary>A mount's throat that darkens the inner corners of outer tiles, and movements of the lens: what the plan says of both is used.</summary>
public sealed class OpeningsTests(ITestOutputHelper output)
{
    private static readonly PicturePart Picture = new() { Aperture = 11 };

    // A throat so narrow that the outer tiles lose most of their inner edge.
    private static KitDocument Kit(double throatMm) => Parse(FormattableString.Invariant($$"""
        { "schema": "imbrex/kit/1",
          "body": { "widthMm": 36, "heightMm": 24, "widthPx": 600, "heightPx": 400, "registerMm": 18,
                    "stops": [ { "shape": "circle", "sizeMm": [{{throatMm}}], "toSensorMm": 16 } ] },
          "back": { "adapter": "cross-slide", "angularToleranceDeg": 0.5, "axes": [ { "minMm": -40, "maxMm": 40, "toleranceMm": 0.5 }, { "minMm": -40, "maxMm": 40, "toleranceMm": 0.5 } ],
                    "turns": [ { "deg": 0 } ] },
          "lens": { "focalLengthMm": 90, "lightCircleMm": 210, "imageCircleAperture": 16 } }
        """));

    private static PlanDocument With(KitDocument kit, PlanDocument plan) => plan with { Sensor = null, Kit = kit, Picture = Picture };

    [Fact]
    public void What_the_throat_darkens_counts_neither_as_scene_nor_as_shading()
    {
        KitDocument kit = Kit(throatMm: 39);
        PlanDocument blind = SmallTake.Grid(3, 2), plan = With(kit, blind);
        using var bench = new MergeBench(SmallTake.Photograph, plan, SmallTake.Shaken with { Openings = KitOptics.Of(kit, Picture), ShadingStops = 0.15 });
        CameraFaults wanted = SmallTake.Shaken;
        (PoseError pose, double psnr, double spread) = Judge(bench, plan, wanted);
        (PoseError poseBlind, double psnrBlind, double spreadBlind) = Judge(bench, blind, wanted);
        output.WriteLine($"pose {pose.Rms:0.0000} px, {psnr:0.00} dB, light within {spread:0.0000} stops; without: {poseBlind.Rms:0.0000} px, {psnrBlind:0.00} dB, {spreadBlind:0.0000} stops");
        Assert.InRange(pose.Rms, 0, 0.02);
        Assert.InRange(spread, 0, 0.01);
        Assert.True(spreadBlind > 2 * spread);
        Assert.True(psnrBlind < psnr - 1);
    }

    [Fact]
    public void The_lens_axis_is_where_the_movements_put_it()
    {
        MovementsPart moved = new() { RiseMm = 40, ShiftMm = -30 };
        PlanDocument still = SmallTake.Plan(88, 38,
            from row in new[] { 0, 1 }
            from column in new[] { 0, 1, 2 }
            select new TilePart { Id = $"t{row}{column}", XMm = 27 * (column - 1), YMm = 16 * (row - 0.5), TurnDeg = row * 180, BackTurned = row == 1 });
        PlanDocument plan = still with { Picture = new() { Movements = moved } };
        CameraFaults faults = SmallTake.Shaken with
        {
            PupilFoot = Movements.PupilFoot(plan),
            Stance = new() { TiltXDeg = 0.2, TiltYDeg = 0.17 },
            ReadNoise = 0,
            FullWell = double.PositiveInfinity,
        };
        using var bench = new MergeBench(SmallTake.Photograph, plan, faults);
        PoseError pose = PoseError.Of(bench.Merge(request => request with { Plan = plan }).Mosaic, bench.Truth);
        PoseError poseStill = PoseError.Of(bench.Merge(request => request with { Plan = still }).Mosaic, bench.Truth);
        output.WriteLine($"pose {pose.Rms:0.0000} px; with the axis at zero movement {poseStill.Rms:0.0000} px");
        Assert.InRange(pose.Rms, 0, 0.05);
        Assert.True(poseStill.Rms > 4 * pose.Rms);
    }

    [Fact]
    public void The_simulated_openings_and_the_usable_part_are_the_formula()
    {
        KitDocument kit = Kit(throatMm: 35);
        TilePart tile = new() { Id = "t", XMm = 27, YMm = -8, TurnDeg = 90, RotationDeg = 2 };
        PlanDocument plan = With(kit, SmallTake.Plan(90, 50, [tile]));
        KitOptics optics = KitOptics.Of(kit, Picture)!;
        using var folder = new Simulation.Scratch();
        new SimulatedCamera(new AnalyticScene(0.5f, []), plan, new() { Openings = optics }).Shoot(folder.Folder, cancellation: TestContext.Current.CancellationToken);
        using Image image = Image.NewFromFile(folder["frame-001.tif"], failOn: Enums.FailOn.Error);
        ushort[] samples = image.WriteToMemory<ushort>();

        var canvas = Canvas.Of(plan);
        ClippedTile clipped = ClippedTile.Of(optics, plan.TheSensor(), tile, canvas)!;
        UsablePart usable = clipped.Usable()!;
        SensorField restored = clipped.Restored()!;
        LightStop[] stops = optics.Stops(tile.ToPose(), backTurned: false);
        int inside = 0, outside = 0;
        for (int y = 0; y < 400; y += 7)
        {
            for (int x = 0; x < 600; x += 7)
            {
                PlanePoint own = new(x - 299.5, y - 199.5), upright = own.Rotated(90);
                PlanePoint onCanvas = upright.Rotated(2);
                (double cx, double cy) = canvas.ToPixel(tile.ToPose().Centre);
                double fraction = optics.View!.Value.Fraction(stops, canvas.ToPlane(cx + onCanvas.X, cy + onCanvas.Y));
                Assert.Equal(0.5 * fraction, SrgbCurve.Decode16[samples[(y * 600 + x) * 3 + 1]], 2e-4);
                if (Math.Abs(fraction - optics.LeastLight) > 0.02)
                    Assert.Equal(fraction > optics.LeastLight, usable.Holds(upright.X, upright.Y));
                (inside, outside) = fraction > optics.LeastLight ? (inside + 1, outside) : (inside, outside + 1);
                if (fraction > optics.LeastLight + 0.1)
                    Assert.Equal(1 / fraction, restored.Factor(1, upright.X, upright.Y), 0.03);
            }
        }
        Assert.True(inside > 2000 && outside > 200, $"{inside} inside, {outside} outside");
    }

    private static (PoseError Pose, double Psnr, double Spread) Judge(MergeBench bench, PlanDocument plan, CameraFaults wanted)
    {
        MergeResult result = bench.Merge(request => request with { Plan = plan, ToleranceMm = 0.5, AngularToleranceDeg = 0.5 });
        Assert.Equal(plan.Kit is not null, result.Mosaic.Findings.Any(finding => finding.Kind == "openings" && finding.Text.Contains("made good", StringComparison.Ordinal)));
        PoseError pose = PoseError.Of(result.Mosaic, bench.Truth);
        return (pose, bench.Psnr(result, pose.Common, wanted), bench.LightSpread(result, pose.Common, wanted));
    }
}
