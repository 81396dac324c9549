using Imbrex.Engine.Photometry;
using Imbrex.Engine.Registration;
using Imbrex.Engine.Tests.Intake;
using Xunit;

namespace Imbrex.Engine.Tests.Photometry;

/// <summary>Patches of two frames that lie half a pixel against each other and differ by a known factor.</summary>
public sealed class SharedLightTests(ITestOutputHelper output)
{
    private const double Gain = 1.25;
    private static readonly FrameLight Light = FrameLight.FromProfile([]);

    // Steep stripes askew to the pixels, period 18 px: light between 0.05 and 0.55.
    private static double Scene(double x, double y) => 0.3 + 0.25 * Math.Sin(0.33 * x + 0.11 * y) * Math.Cos(0.05 * y - 0.02 * x);

    private static ushort Code(double light) => (ushort)Math.Round(65535 * SrgbCurve.Encode(Math.Min(light, 1)));

    [Fact]
    public void Every_patch_is_compared_at_its_exact_place()
    {
        using var raw = new RawFrames();
        const double X = 101.5, Y = 3.43, Angle = 0.004;
        var a = new PlacedFrame("a", raw.Of(300, 200, (x, y, _) => Code(Scene(x, y))), new(149.5, 99.5, 0));
        Placement placed = new(149.5 + X, 99.5 + Y, Angle);
        var b = new PlacedFrame("b", raw.Of(300, 200, (x, y, _) => placed.ToCanvas(x - 149.5, y - 99.5) is var at ? Code(Gain * Scene(at.X, at.Y)) : (ushort)0), placed);
        PlacedFrame[] frames = [a, b];
        Placement[] placements = [a.Nominal, placed];
        PairLight pair = SharedLight.Measure(Assert.Single(SharedArea.Find(frames, placements, 8)), frames, placements, Light);
        double[] errors = [.. pair.Patches.Select(patch => Math.Log(patch.InB[1] / patch.InA[1] / Gain))];
        double[] slow = [.. pair.Patches.Select(patch => Math.Log(Box(b, patch.Bx, patch.By) / Box(a, patch.Ax, patch.Ay) / Gain))];
        output.WriteLine($"{errors.Length} patches, largest error {errors.Max(Math.Abs):0.00000}; boxes at whole pixels {slow.Max(Math.Abs):0.00000}");
        Assert.True(errors.Length >= 20);
        Assert.All(errors, error => Assert.InRange(error, -0.0008, 0.0008));
        // What exact places are for.
        Assert.True(slow.Max(Math.Abs) > 10 * errors.Max(Math.Abs));
    }

    [Fact]
    public void Clipped_parts_of_a_patch_are_left_out_in_both_frames()
    {
        using var raw = new RawFrames();
        double Lamp(int x, int y) => x % 60 < 12 && y % 60 < 12 ? 3 : Scene(x, y);
        PlacedFrame[] frames =
        [
            new("a", raw.Of(300, 200, (x, y, _) => Code(Lamp(x, y))), new(149.5, 99.5, 0)),
            new("b", raw.Of(300, 200, (x, y, _) => Code(0.3 * Lamp(x + 150, y))), new(299.5, 99.5, 0)),
        ];
        Placement[] placements = [.. frames.Select(frame => frame.Nominal)];
        PairLight pair = SharedLight.Measure(Assert.Single(SharedArea.Find(frames, placements, 8)), frames, placements, Light);
        Assert.True(pair.Patches.Count >= 12);
        Assert.All(pair.Patches, patch => Assert.Equal(Math.Log(1 / 0.3), Math.Log(patch.InA[0] / patch.InB[0]), 0.002));
    }

    // The mean of 60 x 60 px at the nearest whole pixels.
    private static double Box(PlacedFrame frame, double dx, double dy)
    {
        const int Side = 60;
        int left = (int)Math.Round(dx + frame.Frame.CentreX - (Side - 1) / 2.0), top = (int)Math.Round(dy + frame.Frame.CentreY - (Side - 1) / 2.0);
        var codes = new ushort[Side * Side * 3];
        frame.Frame.ReadBlock(left, top, Side, Side, codes);
        double sum = 0;
        for (int i = 1; i < codes.Length; i += 3)
            sum += SrgbCurve.Decode(codes[i] / 65535.0);
        return sum / (Side * Side);
    }
}
