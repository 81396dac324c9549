using Imbrex.Engine.Documents;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using NetVips;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

/// <summary>The four turns of the body, against libvips turning the files upright.</summary>
public sealed class TurnTests
{
    private static readonly SensorPart Sensor = Plans.Sensor(12, 8, 120, 80);

    // A picture in which every pixel tells its column and row, with a red corner at the canvas's upper left.
    private sealed class Gridded : IScene
    {
        public void Render(PixelBlock block, Span<float> rgbx)
        {
            for (int i = 0; i < block.Area; i++)
            {
                (int x, int y) = (block.X + i % block.Width, block.Y + i / block.Width);
                (rgbx[4 * i], rgbx[4 * i + 1], rgbx[4 * i + 2]) = (x < 20 && y < 20 ? 0.9f : 0.1f, (x & 255) / 256f, (y & 255) / 256f);
            }
        }
    }

    // On a 40 x 30 mm format at 10 px/mm the canvas is 400 x 300; a tile at (x, y) shows the scene around u = -x, v = -y.
    [Theory]
    [InlineData(0, 1.0, 2.0, Enums.Angle.D0)]
    [InlineData(90, 1.0, 2.0, Enums.Angle.D90)]
    [InlineData(180, 1.0, 2.0, Enums.Angle.D180)]
    [InlineData(270, 1.0, 2.0, Enums.Angle.D270)]
    [InlineData(90, 14.0, 9.0, Enums.Angle.D90)]
    public void A_file_stands_upright_after_turning_it_clockwise_like_the_body(int turn, double x, double y, Enums.Angle clockwise)
    {
        PlanDocument plan = Plans.Of(Sensor, 40, 30, Plans.Tile("t", x, y, turn));
        var camera = new SimulatedCamera(new Gridded(), plan, new CameraFaults());
        (int width, int height, ushort[] upright) = Upright(camera, clockwise);

        (double across, double down) = turn % 180 == 0 ? (12, 8) : (8, 12);
        int left = (int)Math.Round((-x - across / 2 + 20) * 10), top = (int)Math.Round((-y - down / 2 + 15) * 10);
        Assert.Equal((int)(across * 10), width);
        var expected = new ushort[width * height * 3];
        new TruthPicture(new Gridded(), Canvas.Of(plan), new CameraFaults()).Read(new(left, top, width, height), expected);
        Assert.Equal(expected, upright);
    }

    [Fact]
    public void The_sensor_at_the_photographers_right_and_low_records_the_upper_left_of_the_scene()
    {
        PlanDocument plan = Plans.Of(Sensor, 40, 30, Plans.Tile("t", 14, 11));
        var camera = new SimulatedCamera(new Gridded(), plan, new CameraFaults());
        var rgb = new ushort[120 * 80 * 3];
        camera.Render(0, new(0, 0, 120, 80), rgb);
        Assert.True(rgb[0] > 60000, "the red corner of the scene lies in the frame's first pixel");
        Assert.True(rgb[(79 * 120 + 119) * 3] < 30000);
    }

    // Design, section 3: setting (28, 9), turn 90, back over about the lens axis: tile at (-28, -9), turn 270, shows the lower right.
    [Fact]
    public void A_turned_over_back_is_already_in_the_tiles_pose()
    {
        PlanDocument plan = Plans.Of(Plans.Sensor(36, 24, 360, 240), 90, 60, Plans.Tile("t", -28, -9, 270));
        TruthTilePart tile = new SimulatedCamera(new Gridded(), plan, new CameraFaults()).Truth.Tiles[0];
        Assert.Equal((28 + 45) * 10 - 0.5, tile.XPx, 9);
        Assert.Equal((9 + 30) * 10 - 0.5, tile.YPx, 9);
        Assert.Equal(-90, tile.RotationDeg, 9);
    }

    // The worked line of the design, section 8: 36 mm in 6000 px, format 90 x 40 mm, tile at (28, 9).
    [Fact]
    public void The_truth_uses_the_axes_of_mosaic_json()
    {
        PlanDocument plan = Plans.Of(Plans.Sensor(36, 24, 6000, 4000), 90, 40, Plans.Tile("t1", 28, 9));
        TruthDocument truth = new SimulatedCamera(new Gridded(), plan, new CameraFaults()).Truth;
        Assert.Equal((15000, 6667), (truth.WidthPx, truth.HeightPx));
        Assert.Equal(17 * 6000 / 36.0 - 0.5, truth.Tiles[0].XPx, 9);
        Assert.Equal(11 * 6000 / 36.0 - 0.5, truth.Tiles[0].YPx, 9);
    }

    [Fact]
    public void A_baked_frame_is_upright_as_it_lies_and_its_shading_turns_with_it()
    {
        PlanDocument plan = Plans.Of(Sensor, 40, 30, Plans.Tile("t", 1, 2, 90));
        var faults = new CameraFaults { Seed = 4, ShadingStops = 0.5, CastSdStops = 0.1 };
        (int width, int height, ushort[] turned) = Upright(new(new Gridded(), plan, faults), Enums.Angle.D90);
        var baked = new SimulatedCamera(new Gridded(), plan, faults with { Orientation = FileOrientation.Baked });
        Assert.Equal(0, baked.Truth.Tiles[0].RotationDeg);
        var rgb = new ushort[width * height * 3];
        baked.Render(0, new(0, 0, width, height), rgb);
        // Rounding may differ where sums are taken in another order.
        Assert.All(rgb.Zip(turned), pair => Assert.InRange(pair.First - pair.Second, -1, 1));
    }

    private static (int Width, int Height, ushort[] Rgb) Upright(SimulatedCamera camera, Enums.Angle clockwise)
    {
        var rgb = new ushort[120 * 80 * 3];
        camera.Render(0, new(0, 0, 120, 80), rgb);
        using Image stored = Image.NewFromMemory(rgb, 120, 80, 3, Enums.BandFormat.Ushort);
        using Image upright = stored.Rot(clockwise);
        return (upright.Width, upright.Height, upright.WriteToMemory<ushort>());
    }
}
