using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Simulation;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>The truth is true: what a frame shows is what a closed form gives at the place that the truth names.</summary>
public sealed class SimulatedCameraTruthTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(6, 4, 600, 400);

    // Four pixels to the wave at the finest: detail as a lens at its diffraction limit leaves it.
    private static readonly AnalyticScene Waves = AnalyticScene.Create(seed: 5, count: 12, shortest: 4, longest: 90);

    [Theory]
    [InlineData(0, 0)]
    [InlineData(90, 0)]
    [InlineData(180, 0)]
    [InlineData(270, 0)]
    [InlineData(0, 33)]
    [InlineData(90, -7.5)]
    public void Frames_show_the_scene_where_the_truth_says_within_half_a_thousandth_of_a_pixel(int turn, double rotation)
    {
        PlanDocument plan = Plans.Of(Sensor, 20, 12, Plans.Tile("a", 3.1, -1.7, turn, rotation), Plans.Tile("b", -4.3, 2.2, turn, rotation));
        var faults = new CameraFaults { Seed = 11, PositionSdMm = 0.2, PositionMaxMm = 0.3, RotationSdDeg = 0.3, RotationMaxDeg = 0.5 };
        var camera = new SimulatedCamera(Waves, plan, faults);
        for (int tile = 0; tile < 2; tile++)
        {
            (double dx, double dy, double degrees) = Misplacement(camera, tile);
            Assert.InRange(Math.Sqrt(dx * dx + dy * dy), 0, 0.0005);
            // The same length at the frame's corners.
            Assert.InRange(Math.Abs(degrees) * Math.PI / 180 * Math.Sqrt(300 * 300 + 200 * 200), 0, 0.0005);
        }
    }

    [Fact]
    public void The_check_above_would_notice_a_thousandth_of_a_pixel()
    {
        PlanDocument plan = Plans.Of(Sensor, 20, 12, Plans.Tile("a", 3.1, -1.7));
        var camera = new SimulatedCamera(Waves, plan, new CameraFaults());
        (double dx, double dy, _) = Misplacement(camera, 0, pretendedX: 0.001);
        Assert.InRange(dx, -0.0012, -0.0008);
        Assert.InRange(dy, -0.0002, 0.0002);
    }

    [Fact]
    public void Position_errors_have_the_spread_asked_for_and_keep_their_limit()
    {
        TilePart[] tiles = [.. Enumerable.Range(0, 2000).Select(i => Plans.Tile($"t{i}", 0, 0))];
        PlanDocument plan = Plans.Of(Sensor, 20, 12, tiles);
        var faults = new CameraFaults { Seed = 3, PositionSdMm = 0.1, PositionMaxMm = 0.3, RotationSdDeg = 0.2, RotationMaxDeg = 0.2 };
        TruthDocument truth = new SimulatedCamera(Waves, plan, faults).Truth;
        // The tile's nominal centre is the canvas's: ((1999) / 2, (1199) / 2) px at 100 px/mm.
        double[] errors = [.. truth.Tiles.Select(tile => (tile.XPx - 999.5) / 100)];
        Assert.All(errors, error => Assert.InRange(error, -0.3, 0.3));
        double deviation = Math.Sqrt(errors.Average(error => error * error));
        // Cut at three standard deviations, a normal spread keeps 98.7 % of its deviation; the estimate itself has 1.6 %.
        Assert.InRange(deviation, 0.093, 0.105);
        Assert.InRange(errors.Average(), -0.01, 0.01);
        Assert.Contains(truth.Tiles, tile => Math.Abs(tile.RotationDeg) > 0.15);
        Assert.All(truth.Tiles, tile => Assert.InRange(tile.RotationDeg, -0.2, 0.2));
    }

    // Least squares over the frame: the displacement of the true place that explains what remains between frame and closed form.
    private static (double Dx, double Dy, double Degrees) Misplacement(SimulatedCamera camera, int tile, double pretendedX = 0)
    {
        var rgb = new ushort[600 * 400 * 3];
        camera.Render(tile, new(0, 0, 600, 400), rgb);
        TruthTilePart truth = camera.Truth.Tiles[tile];
        double angle = truth.RotationDeg * Math.PI / 180;
        (double sin, double cos) = Math.SinCos(angle);
        Matrix<double> normal = Matrix<double>.Build.Dense(3, 3);
        Vector<double> right = Vector<double>.Build.Dense(3);
        for (int row = 0; row < 400; row += 4)
        {
            for (int column = 0; column < 600; column += 4)
            {
                (double ox, double oy) = (column - 299.5, row - 199.5);
                (double rx, double ry) = (cos * ox - sin * oy, sin * ox + cos * oy);
                (double x, double y) = (truth.XPx + rx + pretendedX, truth.YPx + ry);
                double gx = Waves.At(x + 0.01, y).G - Waves.At(x - 0.01, y).G;
                double gy = Waves.At(x, y + 0.01).G - Waves.At(x, y - 0.01).G;
                double[] slope = [gx / 0.02, gy / 0.02, (-ry * gx + rx * gy) / 0.02];
                double rest = SrgbCurve.Decode16[rgb[(row * 600 + column) * 3 + 1]] - Waves.At(x, y).G;
                for (int i = 0; i < 3; i++)
                {
                    right[i] += slope[i] * rest;
                    for (int j = 0; j < 3; j++)
                        normal[i, j] += slope[i] * slope[j];
                }
            }
        }
        Vector<double> found = normal.Solve(right);
        return (found[0], found[1], found[2] * 180 / Math.PI);
    }
}
