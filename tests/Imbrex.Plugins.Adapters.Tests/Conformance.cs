using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Testing.Conformance;
using Xunit;

namespace Imbrex.Plugins.Adapters.Tests;

/// <summary>The built-in geometries pass the suite that their own authors give to others.</summary>
public sealed class Conformance
{
    private static readonly AxisSpec Slide = new() { Minimum = -45, Maximum = 40, Tolerance = 0.2, ScaleZero = 60 };
    private static readonly AxisSpec Heights = new() { Minimum = -9, Maximum = 11, Detents = [-9, 11], Tolerance = 0.1 };
    private static readonly AxisSpec Swing = new() { IsPivot = true, Minimum = -120, Maximum = 110, Tolerance = 0.1 };

    [Theory]
    [InlineData("rail")]
    [InlineData("double-rail")]
    [InlineData("cross-slide")]
    [InlineData("turret")]
    public void A_built_in_geometry_passes_the_suite(string name)
    {
        (IAdapterGeometry geometry, AxisSpec[] axes) = name switch
        {
            "rail" => ((IAdapterGeometry)new Rail(), new[] { Slide }),
            "double-rail" => (new DoubleRail(), [Slide, Heights]),
            "cross-slide" => (new CrossSlide(), [Slide, Slide]),
            _ => (new Turret(), [Swing]),
        };
        var specimen = new BackSpec
        {
            Axes = axes,
            Turns = [new(Turn.None, new(0.2, -0.1), 0.1), new(Turn.Quarter, new(3, 4))],
            Seats = [new(false, new(0.1, 0), -0.05), new(true, new(0, 0.2), 0.1)],
            AngularTolerance = 0.5,
            DatumToMount = new(12, 14),
            Opening = new(120, 90),
        };

        ConformanceReport report = AdapterConformance.Check(geometry, specimen, new() { Trials = 300, HasSetting = name == "double-rail" ? IsOnItsRail : (_, _) => true }).Verify();

        Assert.True(report.Served > report.Trials / 4, report.ToString());
    }

    // The two rails have travels of their own within that of the first axis.
    private static bool IsOnItsRail(BackSpec spec, Setting setting)
    {
        string rail = setting.Positions[1] == spec.Axes[1].Detents.Min() ? "upper" : "lower";
        return setting.Positions[0] >= spec.Parameters[rail + "-from"] && setting.Positions[0] <= spec.Parameters[rail + "-to"];
    }
}
