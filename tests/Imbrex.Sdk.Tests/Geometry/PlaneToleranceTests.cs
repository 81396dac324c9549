using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Layouts;
using Xunit;

namespace Imbrex.Sdk.Tests.Geometry;

public sealed class PlaneToleranceTests
{
    // Half axes 3 and 4: along the diagonal sqrt((9 + 16) / 2).
    [Theory]
    [InlineData(0, 3)]
    [InlineData(90, 4)]
    [InlineData(180, 3)]
    [InlineData(45, 3.5355339059327378)]
    public void Along_a_direction_it_is_the_ellipse_of_the_two(double degrees, double expected) =>
        Assert.Equal(expected, new PlaneTolerance(3, 4).Along(degrees), 1e-12);

    [Fact]
    public void Alike_both_ways_it_is_the_same_in_every_direction() => Assert.All([0.0, 17, 90, 211], degrees => Assert.Equal(0.3, ((PlaneTolerance)0.3).Along(degrees)));

    // A body turned by a quarter has its long side along y, and the plane's tolerance does not turn with it.
    [Fact]
    public void A_turned_body_has_the_tolerance_of_the_plane()
    {
        var request = new LayoutRequest { Sensor = new(36, 24), Format = new(90, 44), Overlap = 4, PositionTolerance = new(0.5, 2) };
        Assert.Equal(new(35, 20), request.UsableTile(Turn.None));
        Assert.Equal(new(23, 32), request.UsableTile(Turn.Quarter));
        Assert.Equal(new(23, 32), request.UsableTile(Turn.ThreeQuarters));
    }
}
