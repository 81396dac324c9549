using CsCheck;
using Imbrex.Sdk.Geometry;
using Xunit;

namespace Imbrex.Sdk.Tests.Geometry;

/// <summary>Points, angles, turns and poses of the image plane.</summary>
public sealed class PlaneGeometry
{
    private const double Accuracy = 1e-9;

    private static readonly Gen<PlanePoint> AnyPoint = Gen.Select(Gen.Double[-300, 300], Gen.Double[-300, 300], (x, y) => new PlanePoint(x, y));

    // x to the right, y down, seen from behind: a quarter turn clockwise takes right to down.
    [Theory]
    [InlineData(90, 0, 1)]
    [InlineData(180, -1, 0)]
    [InlineData(270, 0, -1)]
    [InlineData(-90, 0, -1)]
    [InlineData(720, 1, 0)]
    public void Quarter_turns_are_exact_and_clockwise(double degrees, double x, double y) =>
        Assert.Equal(new PlanePoint(x, y), new PlanePoint(1, 0).Rotated(degrees));

    [Fact]
    public void Rotations_keep_lengths_add_up_and_undo_each_other() => Gen.Select(AnyPoint, Gen.Double[-400, 400], Gen.Double[-400, 400]).Sample((point, a, b) =>
    {
        Assert.Equal(point.Length, point.Rotated(a).Length, Accuracy);
        Assert.True((point.Rotated(a).Rotated(b) - point.Rotated(a + b)).Length < Accuracy);
        Assert.True((point.Rotated(a).Rotated(-a) - point).Length < Accuracy);
    });

    [Theory]
    [InlineData(180, 180)]
    [InlineData(-180, 180)]
    [InlineData(540, 180)]
    [InlineData(190, -170)]
    [InlineData(-190, 170)]
    [InlineData(360, 0)]
    public void Angles_wrap_above_minus_180_up_to_180(double degrees, double wrapped) => Assert.Equal(wrapped, Angles.Wrap(degrees), 1e-12);

    [Fact]
    public void Wrapped_angles_point_the_same_way() => Gen.Double[-2000, 2000].Sample(degrees =>
    {
        double wrapped = Angles.Wrap(degrees);
        Assert.True(wrapped is > -180 and <= 180);
        Assert.Equal(Math.Sin(degrees * Math.PI / 180), Angles.SinCosDegrees(wrapped).Sin, Accuracy);
        Assert.Equal(Math.Cos(degrees * Math.PI / 180), Angles.SinCosDegrees(wrapped).Cos, Accuracy);
    });

    [Theory]
    [InlineData(0, Turn.None)]
    [InlineData(-90, Turn.ThreeQuarters)]
    [InlineData(450, Turn.Quarter)]
    [InlineData(-540, Turn.Half)]
    public void Turns_are_whole_quarters_of_either_sign(int degrees, Turn turn) => Assert.Equal(turn, Turns.FromDegrees(degrees));

    [Fact]
    public void Other_angles_are_no_turn() => Assert.Throws<ArgumentOutOfRangeException>(() => Turns.FromDegrees(45));

    [Fact]
    public void Turns_form_a_group_of_four()
    {
        foreach (Turn turn in Turns.All)
        {
            Assert.Equal(turn, turn.Plus(Turn.None));
            Assert.Equal(turn, turn.Plus(Turn.Half).Plus(Turn.Half));
            Assert.Equal(turn.IsUpright(), !turn.Plus(Turn.Quarter).IsUpright());
        }
    }

    [Fact]
    public void A_quarter_turn_exchanges_the_sides_and_takes_the_top_edge_to_the_right()
    {
        var pose = new SensorPose(new(10, 5), Turn.Quarter);
        IReadOnlyList<PlanePoint> corners = pose.Corners(new(36, 24));
        Assert.Equal([new(22, -13), new(22, 23), new(-2, 23), new(-2, -13)], corners);
        Assert.Equal(new PlaneSize(24, 36), new PlaneSize(36, 24).Turned(Turn.Quarter));
    }

    [Fact]
    public void Corners_keep_the_sensors_size_whatever_the_pose() =>
        Gen.Select(AnyPoint, Gen.Int[0, 3], Gen.Double[-180, 180]).Sample((centre, turn, rotation) =>
        {
            var pose = new SensorPose(centre, Turns.All[turn], rotation);
            IReadOnlyList<PlanePoint> c = pose.Corners(new(36, 24));
            Assert.Equal(36, (c[1] - c[0]).Length, Accuracy);
            Assert.Equal(24, (c[2] - c[1]).Length, Accuracy);
            Assert.True((0.5 * (c[0] + c[2]) - centre).Length < Accuracy);
            Assert.Equal(0, Angles.Wrap(pose.TotalRotation - Turns.All[turn].Degrees() - rotation), Accuracy);
        });
}
