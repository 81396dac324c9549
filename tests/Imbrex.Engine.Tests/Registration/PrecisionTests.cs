using Imbrex.Engine.Documents;
using Imbrex.Engine.Intake;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Simulation;
using MathNet.Numerics.LinearAlgebra;
using Xunit;

namespace Imbrex.Engine.Tests.Registration;

/// <summary>How precise the search is against what the light allows, and how honest it is about it.</summary>
public sealed class PrecisionTests(ITestOutputHelper output)
{
    private static readonly SensorPart Sensor = new() { WidthMm = 7.2, HeightMm = 4.8, WidthPx = 720, HeightPx = 480 };

    private static readonly IScene Mountain = PhotographScene.Load(TestData.Mountain, 500, 800);

    private static PlanDocument Plan(int columns, int rows) => new()
    {
        Schema = PlanDocument.SchemaName,
        Sensor = Sensor,
        Format = new() { WidthMm = 5 * (columns - 1) + 6, HeightMm = 3.2 * (rows - 1) + 4 },
        Tiles = [.. from row in Enumerable.Range(0, rows)
                    from column in Enumerable.Range(0, columns)
                    select new TilePart { Id = $"t{row}{column}", XMm = 5 * (column - (columns - 1) / 2.0), YMm = 3.2 * (row - (rows - 1) / 2.0) }],
    };

    /// <summary>
    /// Squared errors over what is reported, pooled over seeds and tiles: shifts (two for each tile less the common ones) and angles, at least 150 degrees
    /// of freedom. With much noise, with little, and without any.
    /// </summary>
    [Theory]
    [InlineData(0.01, 4_000.0, 0.0)]
    [InlineData(0.01, 4_000.0, 0.5)]
    [InlineData(0.002, 40_000.0, 0.0)]
    [InlineData(0.0, double.PositiveInfinity, 0.0)]
    public void The_reported_deviations_are_honest(double readNoise, double fullWell, double shadingStops)
    {
        const int Seeds = 14;
        double position = 0, angle = 0, count = 0;
        for (int seed = 1; seed <= Seeds; seed++)
        {
            using var bench = new RegistrationBench(Mountain, Plan(3, 2), new CameraFaults
            {
                Seed = seed,
                PositionSdMm = 0.05,
                RotationSdDeg = 0.1,
                ShadingStops = shadingStops,
                ReadNoise = readNoise,
                FullWell = fullWell,
                ExposureStops = -0.5,
            });
            RegistrationResult result = bench.Register(0.15, 0.4);
            Placement[] truth = [.. bench.Truth.Tiles.Select(t => new Placement(t.XPx, t.YPx, t.RotationDeg * Math.PI / 180))];
            (double shiftX, double shiftY, double turn) = Common(result.Solution.Placements, truth, bench.Window(1, 1).Radius);
            (double middleX, double middleY) = (truth.Average(t => t.X), truth.Average(t => t.Y));
            for (int i = 0; i < truth.Length; i++)
            {
                Placement found = result.Solution.Placements[i];
                double ex = found.X - truth[i].X - shiftX + turn * (truth[i].Y - middleY), ey = found.Y - truth[i].Y - shiftY - turn * (truth[i].X - middleX);
                double ea = found.Angle - truth[i].Angle - turn;
                Matrix<double> c = result.Solution.Covariances[i];
                position += (ex * ex + ey * ey) / (c[0, 0] + c[1, 1]);
                angle += ea * ea / c[2, 2];
                count++;
            }
        }
        output.WriteLine($"position {position / count:0.00}, angle {angle / count:0.00}; {2 * count:0} and {count:0} values");
        Assert.InRange((2 * position + angle) / (3 * count), 0.7, 1.4);
    }

    /// <summary>
    /// The bound of Robinson and Milanfar (IEEE TIP 13(9) 2004) for the shift of the whole overlap, from the gradients of noise-free frames and the noise where they
    /// are; noise in both pictures doubles the variance. Rotation is held by the plan, to hundredths of what it would move the overlap's rim, so that the bound
    /// is that of the shift alone.
    /// </summary>
    [Fact]
    public void The_shift_of_an_overlap_is_near_what_the_noise_allows()
    {
        const int Seeds = 32;
        const double HeldDegrees = 2e-4;
        var quiet = new CameraFaults { Seed = 1, ExposureStops = -0.5, PositionSdMm = 0.02 };
        PlanDocument plan = Plan(2, 1);
        using var clean = new RegistrationBench(Mountain, plan, quiet);
        double squareX = 0, squareY = 0, boundX = 0, boundY = 0;
        for (int seed = 1; seed <= Seeds; seed++)
        {
            using var bench = new RegistrationBench(Mountain, plan, quiet with { Seed = seed, ReadNoise = 0.01, FullWell = 4_000 });
            if (seed == 1)
                (boundX, boundY) = Bound(clean, bench.Frames[0].Frame);
            RegistrationResult result = bench.Register(0.15, HeldDegrees);
            (double x, double y) = (result.Solution.Placements[1].X - result.Solution.Placements[0].X, result.Solution.Placements[1].Y - result.Solution.Placements[0].Y);
            squareX += Math.Pow(x - (bench.Truth.Tiles[1].XPx - bench.Truth.Tiles[0].XPx), 2) / Seeds;
            squareY += Math.Pow(y - (bench.Truth.Tiles[1].YPx - bench.Truth.Tiles[0].YPx), 2) / Seeds;
        }
        output.WriteLine($"error {Math.Sqrt(squareX):0.00000} {Math.Sqrt(squareY):0.00000}, bound {Math.Sqrt(boundX):0.00000} {Math.Sqrt(boundY):0.00000}");
        double ratio = Math.Sqrt((squareX + squareY) / (boundX + boundY));
        output.WriteLine($"ratio {ratio:0.00}");
        Assert.InRange(ratio, 0.8, 1.5);
    }

    // The noise is that of cells of 20 px, since shot noise is stronger where it is bright. Derivatives of sixth order: central differences miss a third of the
    // gradients' energy here.
    private static (double X, double Y) Bound(RegistrationBench clean, Frame noisy)
    {
        const int Rim = 3, Cell = 20;
        SharedArea area = SharedArea.Between(clean.Frames, [.. clean.Frames.Select(f => f.Nominal)], 0, 1, 0)!.Value;
        Frame frame = clean.Frames[0].Frame;
        int left = (int)Math.Ceiling(area.Left + frame.CentreX), width = (int)Math.Floor(area.Width) / Cell * Cell;
        double[] grey = Grey(frame, left, width), other = Grey(noisy, left, width);
        var noise = new double[width / Cell * (frame.Height / Cell)];
        for (int at = 0; at < grey.Length; at++)
            noise[at / width / Cell * (width / Cell) + at % width / Cell] += (grey[at] - other[at]) * (grey[at] - other[at]) / (Cell * Cell);
        double xx = 0, xy = 0, yy = 0;
        for (int row = Rim; row < frame.Height - Rim; row++)
        {
            for (int column = Rim; column < width - Rim; column++)
            {
                double variance = 2 * noise[row / Cell * (width / Cell) + column / Cell];
                double gx = Derivative(grey, row * width + column, 1), gy = Derivative(grey, row * width + column, width);
                (xx, xy, yy) = (xx + gx * gx / variance, xy + gx * gy / variance, yy + gy * gy / variance);
            }
        }
        double det = xx * yy - xy * xy;
        return (yy / det, xx / det);
    }

    private static double Derivative(double[] grey, int at, int step) =>
        (45 * (grey[at + step] - grey[at - step]) - 9 * (grey[at + 2 * step] - grey[at - 2 * step]) + (grey[at + 3 * step] - grey[at - 3 * step])) / 60;

    private static double[] Grey(Frame frame, int left, int width)
    {
        var rgb = new ushort[width * frame.Height * 3];
        frame.ReadBlock(left, 0, width, frame.Height, rgb);
        return [.. Enumerable.Range(0, width * frame.Height).Select(i => (rgb[3 * i] + 2 * rgb[3 * i + 1] + rgb[3 * i + 2]) * 0.25)];
    }

    // The common motion that the solver holds fixed: least squares over positions and angles, an angle counted by what it moves a corner.
    private static (double X, double Y, double Turn) Common(IReadOnlyList<Placement> found, Placement[] truth, double radius)
    {
        double x = truth.Average(t => t.X), y = truth.Average(t => t.Y), top = 0, bottom = 0;
        for (int i = 0; i < truth.Length; i++)
        {
            (double ox, double oy) = (truth[i].X - x, truth[i].Y - y);
            top += ox * (found[i].Y - truth[i].Y) - oy * (found[i].X - truth[i].X) + radius * radius * (found[i].Angle - truth[i].Angle);
            bottom += ox * ox + oy * oy + radius * radius;
        }
        return (found.Average(p => p.X) - x, found.Average(p => p.Y) - y, top / bottom);
    }
}
