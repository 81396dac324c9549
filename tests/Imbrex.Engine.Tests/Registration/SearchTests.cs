using Imbrex.Engine.Documents;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>Takes whose tiles lie far from the plan, share little, repeat themselves or stand askew.</summary>
public sealed class SearchTests(ITestOutputHelper output)
{
    // A sensor of 1200 x 800 px at 100 px/mm.
    private static readonly SensorPart Sensor = new() { WidthMm = 12, HeightMm = 8, WidthPx = 1200, HeightPx = 800 };

    private static readonly IScene Mountain = PhotographScene.Load(TestData.Mountain, 500, 800);

    private static PlanDocument Plan(double widthMm, double heightMm, IEnumerable<TilePart> tiles) => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = Sensor,
        Format = new() { WidthMm = widthMm, HeightMm = heightMm },
        Tiles = [.. tiles],
    };

    private static PlanDocument Grid(int columns, int rows, double stepX, double stepY) => Plan(12 + stepX * (columns - 1) - 1, 8 + stepY * (rows - 1) - 1,
        from row in Enumerable.Range(0, rows)
        from column in Enumerable.Range(0, columns)
        select new TilePart { Id = $"t{row}{column}", XMm = stepX * (column - (columns - 1) / 2.0), YMm = stepY * (row - (rows - 1) / 2.0) });

    /// <summary>Tiles shifted by up to 0.35 mm and turned by up to half a degree, neighbours planned to share 0.8 mm, a tenth of the short side.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void Position_errors_that_nearly_use_up_a_narrow_overlap_are_found(int seed)
    {
        using var bench = new RegistrationBench(Mountain, Grid(3, 2, 11.2, 7.2), new CameraFaults
        {
            Seed = seed,
            PositionSdMm = 0.25,
            PositionMaxMm = 0.35,
            RotationSdDeg = 0.3,
            RotationMaxDeg = 0.5,
            ReadNoise = 0.002,
            FullWell = 40_000,
            ExposureStops = -0.3,
        });
        RegistrationResult result = bench.Register(0.6, 0.5);
        PoseError error = bench.Error(result);
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.05);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void Tiles_that_by_the_plan_share_nothing_are_joined_where_they_do(int seed)
    {
        PlanDocument planned = Grid(2, 1, 12.1, 0);
        // The first stands 1 mm nearer to the second than planned.
        PlanDocument shot = planned with { Tiles = [planned.Tiles[0] with { XMm = planned.Tiles[0].XMm + 1 }, planned.Tiles[1]] };
        using var bench = new RegistrationBench(Mountain, shot, new CameraFaults { Seed = seed, ReadNoise = 0.002, ExposureStops = -0.3 }, planned);
        RegistrationResult result = bench.Register(1, 0.5);
        PoseError error = bench.Error(result);
        output.WriteLine($"RMS {error.Rms:0.0000}");
        Assert.InRange(error.Rms, 0, 0.05);
    }

    /// <summary>A brick is 60 x 24 px, the window of the search 150 px to each side: dozens of shifts lay joints over joints.</summary>
    [Theory]
    [InlineData(1, 0.2)]
    [InlineData(2, 0.2)]
    [InlineData(3, 0.05)]
    [InlineData(4, 0.05)]
    [InlineData(5, 0.05)]
    [InlineData(6, 0.05)]
    [InlineData(7, 0.1)]
    [InlineData(8, 0.1)]
    public void A_wall_of_equal_bricks_is_laid_brick_on_brick(int seed, double variety)
    {
        using var bench = new RegistrationBench(new BrickScene(60, 24, variety), Grid(3, 2, 10.5, 6.5), new CameraFaults
        {
            Seed = seed,
            PositionSdMm = 0.3,
            PositionMaxMm = 0.5,
            RotationSdDeg = 0.2,
            RotationMaxDeg = 0.4,
            ReadNoise = 0.004,
        });
        PoseError error = bench.Error(bench.Register(0.6, 0.5));
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.05);
    }

    /// <summary>Where bricks cannot be told apart, the plan decides: of the shifts that fit, that nearest to it.</summary>
    [Fact]
    public void Bricks_that_are_all_alike_are_laid_as_the_plan_has_them()
    {
        using var bench = new RegistrationBench(new BrickScene(120, 48, 0), Grid(3, 2, 10.5, 6.5), new CameraFaults { Seed = 5, PositionSdMm = 0.05, PositionMaxMm = 0.08, ReadNoise = 0.03 });
        PoseError error = bench.Error(bench.Register(0.4, 0.2));
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.5);
    }

    [Fact]
    public void Sixty_tiles_are_placed()
    {
        PlanDocument plan = Grid(10, 6, 10.2, 6.4) with { Sensor = Sensor with { WidthPx = 300, HeightPx = 200 } };
        using var bench = new RegistrationBench(Mountain, plan, new CameraFaults { Seed = 6, PositionSdMm = 0.3, PositionMaxMm = 0.4, RotationSdDeg = 0.2, RotationMaxDeg = 0.4, ReadNoise = 0.002 });
        PoseError error = bench.Error(bench.Register(0.6, 0.5));
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.1);
    }

    /// <summary>A back that turns the sensor freely: neighbours stand at 0, 15 and 30 degrees, known but for half a degree.</summary>
    [Fact]
    public void Tiles_that_stand_askew_to_one_another_by_the_plan_are_found()
    {
        PlanDocument plan = Plan(26, 8, [.. Enumerable.Range(0, 4).Select(i => new TilePart { Id = $"t{i}", XMm = 6.5 * (i - 1.5), YMm = 0.4 * (i % 2), RotationDeg = 15 * (i % 3) })]);
        using var bench = new RegistrationBench(Mountain, plan, new CameraFaults
        {
            Seed = 7,
            PositionSdMm = 0.2,
            PositionMaxMm = 0.4,
            RotationSdDeg = 0.2,
            RotationMaxDeg = 0.4,
            ReadNoise = 0.002,
        });
        PoseError error = bench.Error(bench.Register(0.5, 0.5));
        output.WriteLine($"RMS {error.Rms:0.0000}, largest {error.Largest:0.0000}");
        Assert.InRange(error.Rms, 0, 0.02);
    }
}
