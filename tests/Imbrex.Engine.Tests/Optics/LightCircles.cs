using CsCheck;
using Imbrex.Engine.Optics;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Engine.Tests.Optics;

/// <summary>The circle of light under movements, against rays that are traced in space.</summary>
public sealed class LightCircles
{
    private static readonly Gen<LensStance> AnyStance = Gen.Select(Gen.Double[80, 300], Gen.Double[-30, 30], Gen.Double[-30, 30], Gen.Double[-12, 12], Gen.Double[-12, 12],
        (v, rise, shift, tilt, swing) => LensStance.Of(v, v, rise, shift, tilt, swing));

    [Fact]
    public void The_angle_to_a_tilted_axis_is_that_between_two_rays_in_space() => Gen.Select(Gen.Double[80, 300], Gen.Double[-12, 12], Gen.Double[-60, 60], Gen.Double[-60, 60]).Sample((v, tilt, x, y) =>
    {
        // The standard's top leans forward, so that the ray straight back, (0, 0, 1), turns upwards, where y is negative. The ray to the
        // point in the lens's own axes: turned back about x.
        LensStance stance = LensStance.Of(v, v, tiltDeg: tilt);
        (double sin, double cos) = Math.SinCos(tilt * Math.PI / 180);
        (double up, double back) = ((y * cos) + (v * sin), (v * cos) - (y * sin));
        Assert.Equal(Math.Sqrt((x * x) + (up * up)) / back, stance.FieldTangent(new(x, y)), 1e-12);
        Assert.Equal(-v * sin / cos, stance.Axis.Y, 1e-9);
    }, iter: 200);

    [Fact]
    public void The_outline_lies_on_the_edge() => AnyStance.Sample(stance =>
    {
        var circle = new LightCircle(stance, 0.7);
        foreach (PlanePoint point in circle.Outline(24))
            Assert.Equal(0.7, stance.FieldTangent(point), 1e-6);
    }, iter: 100);

    [Fact]
    public void Room_is_what_can_be_moved_and_no_more() => AnyStance.Sample(stance =>
    {
        var circle = new LightCircle(stance, 0.75);
        var format = new PlaneSize(60, 40);
        double room = circle.Room(format, new(0, -1));
        if (!circle.Holds(format))
        {
            Assert.Equal(0, room);
            return;
        }
        Assert.True(Raised(circle, room - 1e-6).Holds(format));
        Assert.False(Raised(circle, room + 1e-3).Holds(format));
        double factor = circle.Factor(format);
        Assert.True(circle.Holds(new PlaneSize(60 * factor * (1 - 1e-9), 40 * factor * (1 - 1e-9))));
        Assert.False(circle.Holds(new PlaneSize(60.01 * factor, 40.01 * factor)));
    }, iter: 100);

    // Every point of a held rectangle is held: corners are enough, as a cone's cut is convex.
    [Fact]
    public void Corners_are_enough() => Gen.Select(AnyStance, Gen.Double[-1, 1], Gen.Double[-1, 1]).Sample((stance, x, y) =>
    {
        var circle = new LightCircle(stance, 0.6);
        if (circle.Holds(new PlaneSize(70, 50)))
            Assert.True(circle.Holds(new PlanePoint(35 * x, 25 * y)));
    }, iter: 300);

    [Theory]
    [InlineData(0)]
    [InlineData(-150)]
    [InlineData(double.NaN)]
    public void Lengths_that_make_no_sense_are_refused_with_their_name(double value)
    {
        ArgumentOutOfRangeException fault = Assert.Throws<ArgumentOutOfRangeException>(() => ThinLens.ImageDistance(value, 0));
        Assert.Contains("focalLength", fault.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => ThinLens.Magnification(150, 150));
        Assert.Throws<ArgumentOutOfRangeException>(() => ImageCircle.Diameter(150, 0, 180));
    }

    // Small-pupil light of a tilted lens: brightest between its axis and the normal, and cos^4 without tilt.
    [Fact]
    public void Falloff_of_a_tilted_lens_turns_with_it()
    {
        LensStance straight = LensStance.Of(150, 150), tilted = LensStance.Of(150, 150, tiltDeg: 8);
        var point = new PlanePoint(30, -40);
        Assert.Equal(NaturalFalloff.Cos4(50.0 / 150), straight.SmallPupilLight(point), 1e-12);
        Assert.True(tilted.SmallPupilLight(new(0, -20)) > tilted.SmallPupilLight(new(0, 20)));
    }

    private static LightCircle Raised(LightCircle circle, double by) => circle with { Stance = circle.Stance with { Foot = circle.Stance.Foot + new PlanePoint(0, -by) } };
}
