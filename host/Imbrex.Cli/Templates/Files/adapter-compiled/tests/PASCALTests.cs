using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace PASCALParts.Tests;

public class PASCALTests
{
    // A back of this kind as it would stand in a kit: the suite makes others of it, with stops, seats and faults of all kinds.
    private static readonly BackSpec Specimen = new()
    {
        Axes = [new() { Minimum = -40, Maximum = 40, Tolerance = 0.2 }, new() { Minimum = -25, Maximum = 25, Tolerance = 0.2 }],
        AngularTolerance = 0.2,
    };

    [Fact]
    public void The_back_keeps_its_word() => AdapterConformance.Check(new PASCALBack(), Specimen, new() { Trials = 60 }).Verify();

    // By hand: 20 mm along a rail that falls by 10 degrees.
    [Fact]
    public void The_rail_runs_at_its_slope()
    {
        SensorPose pose = new PASCALBack().Build(Specimen).Pose(new([20, 1]));

        Assert.Equal(19.696, pose.Centre.X, 0.001);
        Assert.Equal(3.473 + 1, pose.Centre.Y, 0.001);
    }
}
