using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;

namespace Imbrex.Benchmarks.Cases;

/// <summary>The takes on which a merge must prove itself.</summary>
internal static class CaseList
{
    // 24 megapixels on 36 x 24 mm.
    private const double Full = 6000 / 36.0;

    // A back built at home with some care, an exposure by hand, a sensor at base sensitivity.
    public static readonly CameraFaults Usual = new()
    {
        Seed = 7,
        PositionSdMm = 0.1,
        PositionMaxMm = 0.25,
        RotationSdDeg = 0.08,
        RotationMaxDeg = 0.2,
        GainSdStops = 0.05,
        ExposureStops = -0.2,
        ReadNoise = 0.0005,
        FullWell = 40_000,
    };

    public static IReadOnlyList<BenchCase> All { get; } =
    [
        new("six", "six level tiles, 30 px/mm", Layouts.Level(3, 2, 30), Mountain, Usual),
        new("upright", "ten upright, mixed turns, back over, 60 px/mm", Layouts.UprightMixed(5, 60), Meadow, Usual),
        Drawn("full", "six of 24 MP, 167 px/mm", Layouts.Level(3, 2, Full), Usual),
        Drawn("grid", "24 level tiles, 100 px/mm", Layouts.Level(6, 4, 100), Usual),
        Of("sky", "40 % cloudless sky", Layouts.Level(3, 2, 60), canvas => new SkyScene(Meadow(), canvas.Width, canvas.Height), Usual),
        Of("bricks", "brick wall", Layouts.Level(3, 2, 60), _ => new BrickWallScene(7, 96, 32, 6), Usual),
        Of("night", "night with noise", Layouts.Level(3, 2, 60), _ => new NightScene(7), Usual with { ReadNoise = 0.0007, FullWell = 15_000 }),
        Peopled(),
        new("drift", "drift of 1/3 stop with colour", Layouts.Level(3, 2, 60), Meadow, Usual with { GainSdStops = 0, DriftStops = 1 / 3.0, DriftColourStops = 0.1, ExposureStops = -0.4 }),
        new("shading", "shading of 0.2 stops with colour, back over", Layouts.Level(3, 2, 60, overLower: true), Meadow, Usual with { ShadingStops = 0.2, CastSdStops = 0.02 }),
        new("position", "1 mm position errors", Layouts.Level(3, 2, 60, margin: 1.5), Meadow, Usual with { PositionSdMm = 0.6, PositionMaxMm = 1 }) { ToleranceMm = 1 },
        new("rotation", "0.5 degree rotation errors", Layouts.Level(3, 2, 60, margin: 1.5), Meadow, Usual with { RotationSdDeg = 0.35, RotationMaxDeg = 0.5 }),
        Drawn("tilt", "sensor tilted by 0.1 degree, back over, 100 px/mm", Layouts.Level(3, 2, 100, overLower: true), Usual with { Stance = new() { TiltXDeg = 0.07, TiltYDeg = 0.0714 } }),
        new("glare", "veiling glare of 1 % in the outer tiles", Layouts.Level(3, 2, 60), Meadow, Usual with { VeilingGlare = 0.01 }),
        Series(),
    ];

    private static BenchCase Peopled()
    {
        PlanDocument plan = Layouts.Level(3, 2, 60);
        return new("walkers", "walkers in half of the frames", plan, Meadow, Usual with { Walkers = Walker.Scatter(plan, 7, [0, 2, 4], each: 6, width: 40, height: 110) });
    }

    private static BenchCase Series()
    {
        PlanDocument plan = Layouts.Level(3, 2, 60);
        return new("series", "three frames per tile with walkers", plan, Meadow, Usual with
        {
            Series = new() { Exposures = 3, JitterSdPx = 0.5 },
            Walkers = Walker.Scatter(plan, 7, Enumerable.Range(0, 6), each: 4, width: 40, height: 110, exposures: 3),
        });
    }

    private static BenchCase Drawn(string name, string title, PlanDocument plan, CameraFaults faults) =>
        Of(name, title, plan, canvas => new QuarryScene(7, canvas.Width, canvas.Height), faults);

    private static BenchCase Of(string name, string title, PlanDocument plan, Func<Canvas, IScene> scene, CameraFaults faults) =>
        new(name, title, plan, () => scene(Canvas.Of(plan)), faults);

    private static SoftScene Mountain() => Photograph("mountain-ccby4.jpg");

    private static SoftScene Meadow() => Photograph("meadow-cc0.jpg");

    private static SoftScene Photograph(string name) => new(PhotographScene.Load(Path.Combine(AppContext.BaseDirectory, "data", name)));
}
