using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>Tilted sensors against rays traced one by one in space, in millimetres.</summary>
public sealed class StanceTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(6, 4, 600, 400);

    private static readonly AnalyticScene Waves = AnalyticScene.Create(seed: 5, count: 12, shortest: 4, longest: 90);

    // Tilts far larger than a back has, so that a wrong sign or order cannot hide.
    private static readonly SensorStance Stance = new() { TiltXDeg = 0.9, TiltYDeg = -0.6, SeatTiltXDeg = -0.4, SeatTiltYDeg = 0.7, SeatDepthMm = 0.3, ExitPupilMm = 90 };

    [Theory]
    [InlineData(0, false, FileOrientation.Untagged)]
    [InlineData(90, false, FileOrientation.Untagged)]
    [InlineData(90, false, FileOrientation.Baked)]
    [InlineData(180, true, FileOrientation.Untagged)]
    [InlineData(270, true, FileOrientation.Baked)]
    public void A_pixel_shows_where_its_ray_from_the_exit_pupil_meets_the_image_plane(int turn, bool over, FileOrientation orientation)
    {
        PlanDocument plan = Plans.Of(Sensor, 20, 12, Plans.Tile("a", 3.1, -1.7, turn, 2.5) with { BackTurned = over });
        var camera = new SimulatedCamera(Waves, plan, new CameraFaults { Stance = Stance, Orientation = orientation });
        TruthTilePart truth = camera.Truth.Tiles[0];
        bool baked = orientation == FileOrientation.Baked;
        (int width, int height) = baked ? (400, 600) : (600, 400);
        var rgb = new ushort[3];
        (int, int)[] corners = [(0, 0), (width - 1, 0), (width - 1, height - 1), (0, height - 1)];
        foreach ((int x, int y) in corners.Concat([(17, 250), (333, 31), (200, 199)]))
        {
            // The sensor's own pixel: a baked file is turned clockwise by the body's turn.
            (double sx, double sy) = baked ? Unturned(x - (width - 1) / 2.0, y - (height - 1) / 2.0, turn) : (x - (width - 1) / 2.0, y - (height - 1) / 2.0);
            (double px, double py) = Trace(plan, sx, sy, turn + 2.5, over);
            int corner = Array.IndexOf(corners, (x, y));
            if (corner >= 0)
            {
                Assert.Equal(px, truth.CornersPx[corner][0], 1e-7);
                Assert.Equal(py, truth.CornersPx[corner][1], 1e-7);
            }
            camera.Render(0, new(x, y, 1, 1), rgb);
            (double r, double g, double b) = Waves.At(px, py);
            double[] expected = [r, g, b];
            for (int channel = 0; channel < 3; channel++)
                Assert.Equal(expected[channel], SrgbCurve.Decode(rgb[channel] / 65535.0), 5e-5);
        }
        (double cx, double cy) = Trace(plan, 0, 0, turn + 2.5, over);
        Assert.Equal(cx, truth.XPx, 1e-7);
        Assert.Equal(cy, truth.YPx, 1e-7);
    }

    // Design, section 9: a tenth of a degree, 36 x 24 mm at 167 px/mm, 150 mm, leaves 0.6 px between level neighbours and 2.7 px to a row shot with the
    // back turned over. Here: what remains over the shared part when the two frames are laid onto each other by the best shift.
    [Theory]
    [InlineData(0, 0.1, 27, 0, 0, 0.6)]
    [InlineData(0, 0.1, 0, 20, 180, 2.7)]
    public void A_tenth_of_a_degree_leaves_what_the_design_says(double tiltX, double tiltY, double stepX, double stepY, int turn, double expected)
    {
        var sensor = Plans.Sensor(36, 24, 6000, 4000);
        PlanDocument plan = Plans.Of(sensor, 90, 44, Plans.Tile("a", 27, 10), Plans.Tile("b", 27 - stepX, 10 - stepY, turn) with { BackTurned = turn != 0 });
        var camera = new SimulatedCamera(Waves, plan, new CameraFaults { Stance = new() { TiltXDeg = tiltX, TiltYDeg = tiltY } });
        Assert.Equal([tiltX, tiltY], camera.Truth.SensorTiltDeg!);
        Canvas canvas = Canvas.Of(plan);
        List<(double X, double Y)> gaps = [];
        for (double y = 10 - stepY + stepY / 2 - (12 - stepY / 2); y <= 10 + 12 - stepY; y += 0.5)
        {
            for (double x = 27 - 18; x <= 27 - stepX + 18; x += 0.5)
            {
                (double ax, double ay) = Landing(canvas, camera.Truth.Tiles[0], new(x, y));
                (double bx, double by) = Landing(canvas, camera.Truth.Tiles[1], new(x, y));
                gaps.Add((ax - bx, ay - by));
            }
        }
        (double mx, double my) = (gaps.Average(gap => gap.X), gaps.Average(gap => gap.Y));
        double worst = gaps.Max(gap => Math.Sqrt((gap.X - mx) * (gap.X - mx) + (gap.Y - my) * (gap.Y - my)));
        Assert.InRange(worst, 0.7 * expected, 1.4 * expected);
    }

    [Fact]
    public void A_scale_is_about_the_frames_centre()
    {
        PlanDocument plan = Plans.Of(Sensor, 20, 12, Plans.Tile("a", 3.1, -1.7));
        TruthTilePart truth = new SimulatedCamera(Waves, plan, new CameraFaults { Seed = 2, ScaleSd = 0.001 }).Truth.Tiles[0];
        double scale = Assert.NotNull(truth.Scale);
        Assert.NotEqual(1, scale);
        Assert.Equal(truth.XPx - scale * 299.5, truth.CornersPx[0][0], 1e-9);
        Assert.Equal(truth.YPx + scale * 199.5, truth.CornersPx[2][1], 1e-9);
    }

    // Where the pixel that should show a point of the plane really looks: the projective map through the truth's corners, in one of its closed forms.
    private static (double X, double Y) Landing(Canvas canvas, TruthTilePart tile, PlanePoint point)
    {
        (double x, double y) = canvas.ToPixel(point);
        (double sin, double cos) = Math.SinCos(-tile.RotationDeg * Math.PI / 180);
        (double dx, double dy) = (x - tile.XPx, y - tile.YPx);
        (double u, double v) = ((cos * dx - sin * dy + 2999.5) / 5999, (sin * dx + cos * dy + 1999.5) / 3999);
        return Projective(tile.CornersPx, u, v);
    }

    // The unit square onto a quadrilateral (Heckbert 1989, from memory).
    private static (double X, double Y) Projective(IReadOnlyList<IReadOnlyList<double>> q, double u, double v)
    {
        double[] sum = [.. Enumerable.Range(0, 2).Select(i => q[0][i] - q[1][i] + q[2][i] - q[3][i])];
        double[] one = [.. Enumerable.Range(0, 2).Select(i => q[1][i] - q[2][i])], two = [.. Enumerable.Range(0, 2).Select(i => q[3][i] - q[2][i])];
        double det = one[0] * two[1] - two[0] * one[1];
        double g = (sum[0] * two[1] - two[0] * sum[1]) / det, h = (one[0] * sum[1] - sum[0] * one[1]) / det, w = 1 + g * u + h * v;
        double At(int i) => ((q[1][i] - q[0][i] + g * q[1][i]) * u + (q[3][i] - q[0][i] + h * q[3][i]) * v + q[0][i]) / w;
        return (At(0), At(1));
    }

    private static (double X, double Y) Unturned(double x, double y, int turn)
    {
        (double sin, double cos) = Angles.SinCosDegrees(-turn);
        return (cos * x - sin * y, sin * x + cos * y);
    }

    // Everything in the plane's own axes: x right, y down, z towards the lens, millimetres.
    private static (double X, double Y) Trace(PlanDocument plan, double sensorX, double sensorY, double degrees, bool over)
    {
        // Seen from behind, the picture on the sensor is upside down in an upright file.
        (double bx, double by) = (-sensorX / 100, -sensorY / 100);
        double z = Math.Tan(Stance.TiltXDeg * Math.PI / 180) * by - Math.Tan(Stance.TiltYDeg * Math.PI / 180) * bx;
        (double sin, double cos) = Math.SinCos(degrees * Math.PI / 180);
        (double x, double y) = (3.1 + cos * bx - sin * by, -1.7 + sin * bx + cos * by);
        if (over)
            z += Stance.SeatDepthMm + Math.Tan(Stance.SeatTiltXDeg * Math.PI / 180) * y - Math.Tan(Stance.SeatTiltYDeg * Math.PI / 180) * x;
        // From the pupil (0, 0, D) through (x, y, z) to depth 0.
        double reach = Stance.ExitPupilMm / (Stance.ExitPupilMm - z);
        return Canvas.Of(plan).ToPixel(new(reach * x, reach * y));
    }
}
