using CsCheck;
using Imbrex.Engine.Clearance;
using Imbrex.Engine.Planning;
using Imbrex.Sdk.Geometry;
using NetTopologySuite.Geometries;
using Xunit;

namespace Imbrex.Engine.Tests.Clearance;

/// <summary>What a part covers while it moves, by hand and against the slow way of looking at every instant.</summary>
public sealed class Sweeps
{
    private static readonly Polygon Square = Box(-10, -10, 10, 10);

    // A square of side 20 about its own middle: its corners go round at 10 sqrt 2. Between 0 and 90 degrees every corner sweeps its whole
    // quarter, so the area is the disc's; a quarter of that turn leaves the lens between the square's sides and the arcs.
    [Fact]
    public void A_square_grip_that_is_turned_a_quarter_sweeps_the_disc_of_half_its_diagonal()
    {
        Geometry swept = Union(Square, Motion(new(0, 0), 0, 90));
        Assert.Equal(Math.PI * 200, swept.Area, 0.5);
        Assert.True(swept.Contains(Disc(0, 0, 14.135)));
        Assert.True(Disc(0, 0, 14.145).Contains(swept));
    }

    // A grip from x = 20 to 30, y = -5 to 5, turned about (0, 0) by 180 degrees: the half ring between 20 and sqrt(925), with the grip's own parts beyond.
    [Fact]
    public void A_grip_off_the_axis_sweeps_a_ring_and_leaves_the_middle_free()
    {
        Geometry swept = Union(Box(20, -5, 30, 5), Motion(default, 0, 180));
        Assert.True(swept.Contains(new Point(0, 25)));
        Assert.True(swept.Contains(new Point(0, 30.405)));
        Assert.False(swept.Contains(new Point(0, 30.416)));
        Assert.False(swept.Contains(new Point(0, 19.975)));
        Assert.False(swept.Contains(new Point(0, -25)));
    }

    [Fact]
    public void A_straight_motion_sweeps_exactly_the_hexagon_between_its_ends()
    {
        Geometry swept = Union(Square, PlaneMotion.Between(new(default, 0), new(new(30, 12), 0)));
        Assert.Equal(400 + 20 * 30 + 20 * 12, swept.Area, 1e-3);
    }

    [Fact]
    public void What_moves_between_two_poses_turns_about_the_point_that_stays() => Gen.Select(Point50, Point50, Gen.Double[-179, 179], Gen.Double[-179, 179]).Sample((a, b, from, to) =>
    {
        PlaneMotion motion = PlaneMotion.Between(new(a, from), new(b, to));
        PlanePoint there = motion.At(a, 1);
        double far = motion.IsStraight ? 1 : Math.Max(1, (motion.Centre - a).Length);
        Assert.True((there - b).Length <= 1e-9 * far, $"{there} and not {b}");
    });

    // Brute force: the polygon at many instants, sampled at many points. What any instant covers is swept; what is well inside the sweep is covered at some instant.
    [Fact]
    public void The_sweep_is_what_the_part_covers_at_some_instant() => Gen.Select(Shape, Point50, Gen.Double[-300, 300]).Sample((shape, centre, degrees) =>
    {
        var motion = new PlaneMotion(new(default, 0), default, centre, degrees);
        Geometry swept = Union(shape, motion);
        const int Instants = 240;
        Polygon[] instants = [.. Enumerable.Range(0, Instants + 1).Select(i => Sweep.Map(shape, point => motion.At(point, (double)i / Instants)))];
        Envelope box = swept.EnvelopeInternal;
        Geometry grown = swept.Buffer(0.03);

        // Between two instants the farthest point moves by this much.
        double between = shape.Coordinates.Max(corner => (new PlanePoint(corner.X, corner.Y) - centre).Length) * Math.Abs(degrees) * Math.PI / 180 / Instants;
        Geometry inner = swept.Buffer(-between - 0.01);
        for (int i = 0; i < 80; i++)
        {
            var point = new Point(box.MinX + (i % 10 + 0.5) / 10 * box.Width, box.MinY + (i / 10 + 0.5) / 8 * box.Height);
            bool covered = instants.Any(instant => instant.Covers(point));
            Assert.True(!covered || grown.Covers(point), $"{point} is covered and not swept");
            Assert.True(covered || !inner.Covers(point) || instants.Min(instant => instant.Distance(point)) <= between, $"{point} is swept and never covered");
        }
    }, iter: 8);

    [Fact]
    public void The_longer_way_round_ends_in_the_same_place()
    {
        PlaneMotion turn = PlaneMotion.Between(new(new(8, 0), 0), new(new(0, 8), 90));
        Assert.Equal(0, turn.Centre.Length, 1e-12);
        PlaneMotion other = turn.OtherWay!.Value;
        Assert.Equal(-270, other.Degrees);
        Assert.True((other.At(new(8, 0), 1) - new PlanePoint(0, 8)).Length < 1e-12);
        Assert.True(Union(Square, other).Area > Union(Square, turn).Area);
    }

    private static readonly Gen<PlanePoint> Point50 = Gen.Select(Gen.Double[-50, 50], Gen.Double[-50, 50], (x, y) => new PlanePoint(x, y));

    // A quadrilateral with a corner that may be bent in.
    private static readonly Gen<Polygon> Shape = Gen.Select(Gen.Double[3, 25], Gen.Double[3, 25], Gen.Double[3, 25], Gen.Double[1, 25], Point50, (a, b, c, d, at) =>
        new Polygon(new([new(at.X + a, at.Y), new(at.X, at.Y + b), new(at.X - c, at.Y), new(at.X, at.Y - d), new(at.X + a, at.Y)])));

    internal static Polygon Box(double left, double top, double right, double bottom) =>
        new(new([new(left, top), new(right, top), new(right, bottom), new(left, bottom), new(left, top)]));

    private static PlaneMotion Motion(PlanePoint centre, double from, double degrees) => new(new(default, from), default, centre, degrees);

    private static Geometry Disc(double x, double y, double radius) => new Point(x, y).Buffer(radius, 64);

    private static Geometry Union(Polygon shape, PlaneMotion motion) => PlaneArea.Union(Sweep.Pieces(shape, [motion]));
}
