using Imbrex.Engine.Documents;
using Imbrex.Engine.Photometry;
using Imbrex.Engine.Planning;
using Imbrex.Engine.Simulation;
using Xunit;

namespace Imbrex.Engine.Tests.Simulation;

public sealed class TruthPictureTests
{
    private static readonly PlanDocument Plan = Plans.Of(Plans.Sensor(6, 4, 600, 400), 10, 6, Plans.Tile("a", 0, 0));

    [Fact]
    public void Without_faults_the_truth_is_the_frame()
    {
        var scene = new QuarryScene(2, 1000, 600);
        var faults = new CameraFaults { ImageDistanceMm = 15, ExposureStops = -0.2 };
        var (frame, truth) = (new ushort[600 * 400 * 3], new ushort[600 * 400 * 3]);
        new SimulatedCamera(scene, Plan, faults).Render(0, new(0, 0, 600, 400), frame);
        // The tile at the lens axis lies in the middle of the 1000 x 600 canvas.
        new TruthPicture(scene, Canvas.Of(Plan), faults).Read(new(200, 100, 600, 400), truth);
        Assert.Equal(truth, frame);
    }

    [Fact]
    public void A_common_motion_moves_the_truth_like_a_frame_that_was_moved()
    {
        AnalyticScene scene = AnalyticScene.Create(5, 9, 4, 60);
        Canvas canvas = Canvas.Of(Plan);
        var rgb = new ushort[3];
        new TruthPicture(scene, canvas, new()).Read(new(800, 500, 1, 1), rgb, new(1.25, -0.5, 0.4));
        (double sin, double cos) = Math.SinCos(0.4 * Math.PI / 180);
        (double ox, double oy) = (800 - 499.5, 500 - 299.5);
        (double r, double g, double b) = scene.At(499.5 + 1.25 + cos * ox - sin * oy, 299.5 - 0.5 + sin * ox + cos * oy);
        double[] expected = [r, g, b];
        for (int channel = 0; channel < 3; channel++)
            Assert.Equal(expected[channel], SrgbCurve.Decode(rgb[channel] / 65535.0), 5e-5);
    }

    // A frame half a pixel off, moved back by the same kernel: what the simulation itself may take from a later comparison.
    [Fact]
    public void One_resampling_of_the_quarry_costs_less_than_fifty_decibels_would_show()
    {
        var scene = new QuarryScene(2, 1000, 600);
        var still = new ushort[400 * 300 * 3];
        new TruthPicture(scene, Canvas.Of(Plan), new()).Read(new(300, 200, 400, 300), still);
        var moved = new Rendered(scene, 0.5);
        var back = new ushort[still.Length];
        new TruthPicture(moved, Canvas.Of(Plan), new()).Read(new(300, 200, 400, 300), back, new(-0.5, 0, 0));
        double error = still.Zip(back, (a, b) => (double)(a - b) * (a - b)).Average();
        double decibels = 10 * Math.Log10(65535.0 * 65535 / error);
        Assert.True(decibels > 50, $"{decibels:0.0} dB");
    }

    // A scene seen half a pixel to the right.
    private sealed class Rendered(IScene scene, double shift) : IScene
    {
        public void Render(PixelBlock block, Span<float> rgbx)
        {
            var rgb = new ushort[block.Area * 3];
            new TruthPicture(scene, Canvas.Of(Plan), new()).Read(block, rgb, new(shift, 0, 0));
            for (int i = 0; i < block.Area; i++)
            {
                for (int channel = 0; channel < 3; channel++)
                    rgbx[4 * i + channel] = SrgbCurve.Decode16[rgb[3 * i + channel]];
            }
        }
    }
}
