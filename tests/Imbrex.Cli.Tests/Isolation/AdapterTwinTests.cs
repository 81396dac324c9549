using Imbrex.Hosting.Catalog;
using Imbrex.Hosting.Scripts;
using Imbrex.Sdk.Adapters;
using Imbrex.Sdk.Geometry;
using Imbrex.Sdk.Parameters;
using Xunit;

namespace Imbrex.Cli.Tests.Isolation;

/// <summary>Two of the built-in backs written as adapter scripts and run behind walls give the same poses, and solve the same, as the plugins that come with the program.</summary>
public class AdapterTwinTests(BehindWalls walls) : IClassFixture<BehindWalls>
{
    private const double Accuracy = 1e-9;

    private static readonly Catalogue Plugins = Catalogue.Load([new(Path.Combine(Path.GetDirectoryName(Imbrex.Program)!, "plugins"), IsBuiltIn: true)], new LayoutScripts(new RoslynScriptCompiler(), null!, CancellationToken.None));

    [Fact]
    public void A_cross_slide() => Compare("cross-slide", "Name(\"cross-slide-again\"); var x = Axis(\"x\"); var y = Axis(\"y\"); Carriage(p => new(p[x], p[y]));", random => [Axis(random, false), Axis(random, false)], []);

    [Fact]
    public void A_turret() => Compare("turret", """
        Name("turret-again");
        var pivotX = Parameter("pivot-x", 0, Unit.Millimetre, -500, 500); var pivotY = Parameter("pivot-y", 60, Unit.Millimetre, -500, 500);
        var armX = Parameter("arm-x", 0, Unit.Millimetre, -500, 500); var armY = Parameter("arm-y", -60, Unit.Millimetre, -500, 500);
        var swing = Pivot("the arm");
        Carriage(p =>
        {
            var a = p[swing] * Math.PI / 180;
            return new(pivotX + armX * Math.Cos(a) - armY * Math.Sin(a), pivotY + armX * Math.Sin(a) + armY * Math.Cos(a), p[swing]);
        });
        """, random => [Axis(random, true)], new() { ["pivot-x"] = "3", ["pivot-y"] = "70", ["arm-y"] = "-82" });

    private void Compare(string adapter, string text, Func<Random, AxisSpec[]> axes, Dictionary<string, string> parameters)
    {
        IAdapterGeometry known = Plugins.Adapter(adapter);
        ScriptAdapter script = walls.Adapter(text);
        var random = new Random(11);
        for (int specimen = 0; specimen < 25; specimen++)
        {
            var spec = new BackSpec
            {
                Axes = axes(random),
                Turns = random.Next(2) == 0 ? [new(Turn.None)] : [new(Turn.None, new(0.1, 0.2), 0.1), new(Turn.Quarter, new(3, -4), -0.2)],
                Seats = random.Next(2) == 0 ? [new(false)] : [new(false, new(0.1, 0)), new(true, new(-0.2, 0.3), 0.1)],
                AngularTolerance = 2,
            };
            IBack one = known.Build(spec with { Parameters = ParameterValues.Bind(known.Description.Parameters, parameters) });
            IBack other = script.Build(spec with { Parameters = ParameterValues.Bind(script.Description.Parameters, parameters) });
            for (int i = 0; i < 8; i++)
            {
                double[] positions = [.. spec.Axes.Select(axis => axis.Detents.Count > 0 ? axis.Detents[random.Next(axis.Detents.Count)] : axis.Minimum + random.NextDouble() * (axis.Maximum - axis.Minimum))];
                SensorPose pose = one.Pose(new(positions, spec.Turns[random.Next(spec.Turns.Count)].Turn, spec.Seats[random.Next(spec.Seats.Count)].BackTurned));
                Alike(one, other, pose);
                Alike(one, other, new(new(random.Next(-90, 90), random.Next(-60, 60) + 0.5), Turns.All[random.Next(4)]));
            }
            // Limits are found numerically, and a hair wider.
            Assert.Equal(one.Limits.Left, other.Limits.Left, 2e-6);
            Assert.Equal(one.Limits.Bottom, other.Limits.Bottom, 2e-6);
            Assert.Equal(one.Limits.Turns, other.Limits.Turns);
            Assert.Equal(one.PositionTolerance.Worst, other.PositionTolerance.Worst, Accuracy);
        }
    }

    private static void Alike(IBack one, IBack other, SensorPose wanted)
    {
        foreach ((SettingSolution a, SettingSolution b) in Solutions(one, wanted).Zip(Solutions(other, wanted)))
        {
            Assert.Equal((a.Setting.CameraTurn, a.Setting.BackTurned, a.IsReached), (b.Setting.CameraTurn, b.Setting.BackTurned, b.IsReached));
            Assert.All(a.Setting.Positions.Zip(b.Setting.Positions), pair => Assert.Equal(pair.First, pair.Second, 1e-8));
            Assert.True((a.Pose.Centre - b.Pose.Centre).Length <= Accuracy, $"{wanted}: {a.Pose} {b.Pose}");
            Assert.True((one.Pose(a.Setting).Centre - other.Pose(a.Setting).Centre).Length <= Accuracy);
            Assert.Equal(0, Angles.Wrap(one.Pose(a.Setting).TotalRotation - other.Pose(a.Setting).TotalRotation), Accuracy);
            Assert.Equal(a.Error, b.Error, Accuracy);
        }
    }

    private static IEnumerable<SettingSolution> Solutions(IBack back, SensorPose wanted) => back.Solve(wanted).OrderBy(solution => solution.Setting.BackTurned);

    private static AxisSpec Axis(Random random, bool pivot)
    {
        double[] stops = [.. Enumerable.Range(0, 5).Select(i => -40.0 + 17 * i + 5 * random.NextDouble())];
        return new() { Minimum = -45, Maximum = 45, Tolerance = 0.2, IsPivot = pivot, Detents = random.Next(2) == 0 ? [] : stops };
    }
}
